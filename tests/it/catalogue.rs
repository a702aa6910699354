//! The whole catalogue at once: no rule has anything to say of a sound site.

use cordwright::judgement::Judgement;

use crate::site::judged;
use crate::sound::layout::{Written, write};

fn judge(written: &Written) -> Judgement {
    judged(&written.files.clone().into_iter().collect())
}

#[test]
fn nothing_is_said_of_sound_sites() {
    let sites = std::env::var("CORDWRIGHT_SITES").map_or(2000, |sites| sites.parse().unwrap());
    let mut said = std::collections::BTreeMap::<String, (usize, u64, String)>::new();
    for seed in 0..sites {
        let written = write(&crate::sound::site(seed), seed);
        let judgement = judge(&written);
        for finding in &judgement.findings {
            let text = format!(
                "{}\n{:?}",
                crate::site::annotated(&judgement, std::slice::from_ref(finding)),
                finding.kind
            );
            let entry = said
                .entry(format!(
                    "{} {} {:?}",
                    finding.rule, finding.kind, finding.verdict
                ))
                .or_insert((0, seed, text));
            entry.0 += 1;
        }
    }
    if let Ok(seed) = std::env::var("CORDWRIGHT_SHOW") {
        let seed = seed.parse().unwrap();
        for (path, text) in write(&crate::sound::site(seed), seed).files {
            println!("=== {path}\n{text}");
        }
    }
    for (what, (times, seed, text)) in &said {
        println!("{what}: {times} times, first at seed {seed}\n{text}");
    }
    assert!(said.is_empty() && std::env::var("CORDWRIGHT_SHOW").is_err());
}
