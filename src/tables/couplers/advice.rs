//! What is said of a name that no coupler goes by.

use super::{CATALOGUE, offered, standards};
use crate::spelling::either;

/// Which names may be meant, or which its standard has; `nearest` is a name that differs by a slip.
pub(crate) fn advice(text: &str, nearest: Option<&str>) -> Option<String> {
    let names: Vec<&str> = {
        let mut meant = CATALOGUE.sleeves(text);
        meant.extend(CATALOGUE.marked(text));
        meant.iter().map(|coupler| coupler.name.as_str()).collect()
    };
    if let Some(meant) = in_another_order(text) {
        return Some(format!("Is `{meant}` meant?"));
    }
    if names.len() > 1 {
        return Some(format!("It may mean {}. Write which it is.", or(&names)));
    }
    if let Some((offered, names)) = offered::offered(text) {
        let why = &offered.why;
        let told = format!("{}. Source: {}.", why.value, why.citation);
        return Some(match names.is_empty() {
            true => told,
            false => format!("{told} Write {} where the part is that.", or(&names)),
        });
    }
    let standard = standards::of(text).map(|standard| standard.names.clone());
    let asked = nearest.map(|name| format!("Is `{name}` meant?"));
    match (asked, standard) {
        (Some(asked), Some(standard)) => Some(format!("{asked} {standard}")),
        (asked, standard) => asked.or(standard),
    }
}

/// What is named with its rating first, `13A BS 1363`, or without its standard, `16A 2P+E 6h`.
fn in_another_order(text: &str) -> Option<&'static str> {
    let text = text.trim();
    let (rating, rest) = text.split_at_checked(text.find(['A', 'a'])? + 1)?;
    let is_rating = rating[..rating.len() - 1].trim().parse::<f64>().is_ok();
    if !is_rating || !rest.starts_with(char::is_whitespace) {
        return None;
    }
    let turned = format!("{} {rating}", rest.trim());
    let found = CATALOGUE.find(&turned);
    let found = found.or_else(|| CATALOGUE.find(&format!("IEC 60309 {text}")));
    found.map(|coupler| coupler.name.as_str())
}

/// Names to choose from.
fn or(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    either(&quoted)
}

#[cfg(test)]
mod tests {
    use super::advice;

    #[test]
    fn a_name_in_another_order_is_offered_as_it_is_written() {
        for (text, meant) in [
            ("13A BS 1363", "BS 1363"),
            ("20 A NBR 14136", "NBR 14136"),
            ("16A 2P+E 6h", "IEC 60309 16 A 2P+E 6h"),
        ] {
            let told = advice(text, None).unwrap_or_default();
            assert!(
                told.contains(&format!("`{meant}")) && told.contains("meant?"),
                "{text}: {told}"
            );
        }
        for text in ["A", "13A", "13A ", "Aé 1363", "nanA BS 1363", "13A CEE 99"] {
            let told = advice(text, None).unwrap_or_default();
            assert!(!told.contains("meant?"), "{text}: {told}");
        }
    }
}
