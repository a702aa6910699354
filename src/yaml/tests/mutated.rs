//! Random damage to sound documents: no panic, and the tree keeps its shape.

use super::writer::{Options, Writer};
use super::{Random, parse};

const PIECES: &[&str] = &[
    "[", "]", "{", "}", ":", ": ", "- ", "? ", "&a ", "*a ", "!t ", "|", ">", "'", "\"", "#", "\n",
    "\r\n", "\t", "  ", ",", "---\n", "...\n", "%", "\\", "\0", "\u{feff}", "é", "<<: ", "~",
];

fn damage(text: &mut String, random: &mut Random) {
    let mut at = random.below(text.len() + 1);
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    match random.below(4) {
        0 => text.truncate(at),
        1 if at < text.len() => drop(text.remove(at)),
        2 => {
            let tail = text.split_off(at);
            text.push_str(random.pick(PIECES));
            let skip = tail.char_indices().nth(random.below(9)).map_or(0, |c| c.0);
            text.push_str(&tail[skip..]);
        }
        _ => text.insert_str(at, random.pick(PIECES)),
    }
}

#[test]
fn damaged_documents_keep_the_shape_of_the_tree() {
    let mut broken = 0;
    for seed in 0..3_000 {
        let options = Options::for_seed(seed);
        let mut text = Writer::write(seed, options).text;
        let mut random = Random::new(seed + 77);
        for _ in 0..=random.below(3) {
            damage(&mut text, &mut random);
            broken += usize::from(!parse(&text).0.is_complete());
        }
    }
    assert!(broken > 1_000, "only {broken} of the texts were broken");
}
