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

/// Names to choose from.
fn or(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    either(&quoted)
}
