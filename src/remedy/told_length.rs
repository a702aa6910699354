//! Names of cord types that tell a length: `c14-c13-1.5m`. A cord of such a type that is given another
//! length would go by a name that tells the wrong one.

use crate::quantity::{InUnits, Length, Quantity};

/// Whether a name tells a length, and not this one.
pub fn tells_another_length(name: &str, length: Length) -> bool {
    let told: Vec<Length> = words(name).filter_map(length_in).collect();
    let is_same = |told: &Length| (told.in_metres() - length.in_metres()).abs() < 0.005;
    !told.is_empty() && !told.iter().any(is_same)
}

/// A name that tells a length, with another length told in its place and in its unit; `None` where it tells none,
/// or the other is no short number in that unit.
pub fn retold(name: &str, length: Length) -> Option<String> {
    let mut new = name.to_owned();
    let mut is_told = false;
    for word in words(name).filter(|word| length_in(word).is_some()) {
        new = new.replacen(word, &told_as(word, length)?, 1);
        is_told = true;
    }
    is_told.then_some(new)
}

/// A length as a word tells another: `1m` as `1.5m`, `150CM` as `80CM`.
fn told_as(word: &str, length: Length) -> Option<String> {
    let unit = &word[word.find(|c: char| c.is_alphabetic())?..];
    let number = match unit.to_ascii_lowercase().as_str() {
        "m" => length.in_metres(),
        "cm" => length.in_millimetres() / 10.0,
        "ft" => length.in_feet(),
        "in" => length.in_feet() * 12.0,
        _ => return None,
    };
    let rounded = (number * 100.0).round() / 100.0;
    let is_short = (rounded - number).abs() < 1e-6;
    is_short.then(|| format!("{rounded}{unit}"))
}

fn words(name: &str) -> impl Iterator<Item = &str> {
    let is_of_word = |c: char| c.is_alphanumeric() || matches!(c, '.' | ',');
    name.split(move |c| !is_of_word(c))
}

/// `1.5m`, `6ft`, `50cm`; a size such as `1.5mm²` is none.
fn length_in(word: &str) -> Option<Length> {
    let end = word
        .find(|c: char| c.is_alphabetic())
        .filter(|end| *end > 0)?;
    let (number, unit) = word.split_at(end);
    let is_unit = ["m", "cm", "ft", "in"].contains(&unit.to_ascii_lowercase().as_str());
    let text = format!("{number} {}", unit.to_ascii_lowercase());
    is_unit.then(|| Length::read(&text).ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::metres;

    #[test]
    fn a_name_tells_another_length_in_its_own_unit() {
        let retold = |name: &str, length| retold(name, metres(length));
        assert_eq!(
            retold("c14-c13-1m-red", 1.5).as_deref(),
            Some("c14-c13-1.5m-red")
        );
        assert_eq!(retold("C14_150CM", 0.8).as_deref(), Some("C14_80CM"));
        assert_eq!(retold("c14-6ft", 0.9144).as_deref(), Some("c14-3ft"));
        assert_eq!(retold("c14-6ft", 1.0), None);
        assert_eq!(retold("c14-c13", 1.5), None);
    }

    #[test]
    fn a_name_that_tells_the_length_or_none_tells_no_other() {
        for (name, is_other) in [
            ("c14-c13-1.5m-red", false),
            ("c14-c13-1m-red", true),
            ("C14_150cm", false),
            ("c14 2 m", false),
            ("c14-6ft", true),
            ("c14-1.5mm2", false),
            ("c14-c13", false),
            ("2m-blue", true),
            ("m1", false),
            ("é²m", false),
        ] {
            assert_eq!(tells_another_length(name, metres(1.5)), is_other, "{name}");
        }
    }
}
