//! How many slips lie between two words: letters left out, put in, put for another, or swapped with a
//! neighbour (the distance of Damerau and Levenshtein). Only few are of interest, so that a word far off
//! is put aside after a glance: one name is held against all names of a site.

/// More slips than are ever allowed for.
const MOST: usize = 3;
/// Characters of the longest text that is held against words.
const LONGEST: usize = 64;

/// What a glance shows of a word: how long it is, and which letters are in it.
#[derive(Clone, Copy)]
pub(crate) struct Glance {
    len: usize,
    kinds: u64,
}

impl Glance {
    pub(crate) fn of(text: &str) -> Self {
        let nothing = Self { len: 0, kinds: 0 };
        text.chars().fold(nothing, Self::with)
    }

    fn with(self, letter: char) -> Self {
        Self {
            len: self.len + 1,
            kinds: with_kind(self.kinds, letter),
        }
    }

    /// How many characters it has.
    pub(crate) fn len(&self) -> usize {
        self.len
    }

    /// No fewer slips than these lie between it and another word. Each mends one letter that the other
    /// word has not.
    pub(crate) fn least_slips_to(&self, other: &Self) -> usize {
        let lacking = self.lacks(other).max(other.lacks(self));
        lacking.max(self.len.abs_diff(other.len))
    }

    /// No more letters than these are in both.
    pub(crate) fn most_in_common(&self, other: &Self) -> usize {
        (self.len - other.lacks(self)).min(other.len - self.lacks(other))
    }

    /// Kinds of letters of another word that it has not.
    fn lacks(&self, other: &Self) -> usize {
        (other.kinds & !self.kinds).count_ones() as usize
    }
}

/// A text to be held against many words.
pub(crate) struct Spelt {
    letters: Vec<char>,
    glance: Glance,
}

impl Spelt {
    /// A text of at most 64 characters.
    pub(crate) fn new(text: &str) -> Self {
        Self {
            letters: text.chars().collect(),
            glance: Glance::of(text),
        }
    }

    /// How many characters it has.
    pub(crate) fn len(&self) -> usize {
        self.letters.len()
    }

    /// The slips that lie between it and `word`; `None` if they are more than `allowed`, which is three at
    /// most.
    pub(crate) fn slips_to(&self, word: &str, allowed: usize) -> Option<usize> {
        let allowed = allowed.min(MOST);
        // No character takes more than four bytes.
        if self.len() > LONGEST || word.len() > 4 * (self.len() + allowed) {
            return None;
        }
        let mut letters = ['\0'; LONGEST + MOST];
        let mut glance = Glance { len: 0, kinds: 0 };
        for letter in word.chars() {
            *letters.get_mut(glance.len)? = letter;
            glance = glance.with(letter);
        }
        if self.glance.least_slips_to(&glance) > allowed {
            return None;
        }
        let (ours, theirs) = without_ends(&self.letters, &letters[..glance.len]);
        slips(ours, theirs, allowed).filter(|&slips| slips <= allowed)
    }
}

/// Letters that are of one kind are told apart later.
fn with_kind(kinds: u64, letter: char) -> u64 {
    kinds | 1 << (letter as u32 % 64)
}

/// What is left of two words without the letters that they begin and end with alike.
fn without_ends<'w>(a: &'w [char], b: &'w [char]) -> (&'w [char], &'w [char]) {
    let alike = |(a, b): &(&char, &char)| a == b;
    let before = a.iter().zip(b).take_while(alike).count();
    let (a, b) = (&a[before..], &b[before..]);
    let after = a.iter().rev().zip(b.iter().rev()).take_while(alike).count();
    (&a[..a.len() - after], &b[..b.len() - after])
}

/// The slips between two words, row by row: what leads to more than `most` is not followed.
fn slips(a: &[char], b: &[char], most: usize) -> Option<usize> {
    const FAR: u8 = u8::MAX / 2;
    let mut rows = [[FAR; LONGEST + MOST + 1]; LONGEST + 1];
    for (at, slips) in rows[0].iter_mut().enumerate().take(most + 1) {
        *slips = at as u8;
    }
    // A swap leads over as many rows as are left out between its letters.
    let mut rows_in_vain = 0;
    for i in 1..=a.len() {
        let mut least = FAR;
        for j in i.saturating_sub(most)..=(i + most).min(b.len()) {
            let slips = match j {
                0 => i as u8,
                _ => step(&rows, a, b, (i, j), most),
            };
            rows[i][j] = slips;
            least = least.min(slips);
        }
        rows_in_vain = if usize::from(least) > most {
            rows_in_vain + 1
        } else {
            0
        };
        if rows_in_vain > most + 1 {
            return None;
        }
    }
    Some(usize::from(rows[a.len()][b.len()]))
}

/// The slips between two words if no letters are left out or put in between swapped ones; `None` if they are
/// more than `most`.
pub(crate) fn plain_slips(a: &[char], b: &[char], most: usize) -> Option<usize> {
    if a.len().abs_diff(b.len()) > most || b.len() > LONGEST {
        return None;
    }
    let far = most + 1;
    let mut rows = [[far; LONGEST + 1]; 3];
    rows[0]
        .iter_mut()
        .enumerate()
        .for_each(|(at, slips)| *slips = at.min(far));
    for (i, letter) in a.iter().enumerate() {
        let [before, last, row] = [(i + 2) % 3, i % 3, (i + 1) % 3];
        rows[row] = [far; LONGEST + 1];
        rows[row][0] = (i + 1).min(far);
        let near = (i + 1).saturating_sub(most).max(1)..=(i + 1 + most).min(b.len());
        for j in near {
            let is_same = *letter == b[j - 1];
            let mut slips = rows[last][j - 1] + usize::from(!is_same);
            slips = slips.min(rows[last][j] + 1).min(rows[row][j - 1] + 1);
            let is_swapped = i > 0 && j > 1 && *letter == b[j - 2] && a[i - 1] == b[j - 1];
            if is_swapped {
                slips = slips.min(rows[before][j - 2] + 1);
            }
            rows[row][j] = slips.min(far);
        }
        let in_vain = |row: usize| rows[row][..=b.len()].iter().all(|slips| *slips > most);
        if in_vain(row) && in_vain(last) {
            return None;
        }
    }
    Some(rows[a.len() % 3][b.len()]).filter(|slips| *slips <= most)
}

type Rows = [[u8; LONGEST + MOST + 1]; LONGEST + 1];

fn step(rows: &Rows, a: &[char], b: &[char], (i, j): (usize, usize), most: usize) -> u8 {
    let is_same = a[i - 1] == b[j - 1];
    let put_for_another = rows[i - 1][j - 1] + u8::from(!is_same);
    let left_out_or_put_in = rows[i - 1][j].min(rows[i][j - 1]) + 1;
    let least = put_for_another.min(left_out_or_put_in);
    match is_same {
        true => least,
        false => least.min(swapped(rows, a, b, (i, j), most).unwrap_or(least)),
    }
}

/// The slips if the last letters are swapped, be it with others left out or put in between them.
fn swapped(rows: &Rows, a: &[char], b: &[char], (i, j): (usize, usize), most: usize) -> Option<u8> {
    let near = |at: usize| (at.saturating_sub(most + 1)..at - 1).rev();
    let in_a = near(i).find(|&at| a[at] == b[j - 1])?;
    let in_b = near(j).find(|&at| b[at] == a[i - 1])?;
    let between = (i - in_a - 2) + (j - in_b - 2);
    Some(rows[in_a][in_b] + 1 + between as u8)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn agrees(a: &str, b: &str) -> Result<(), TestCaseError> {
        let all = strsim::damerau_levenshtein(a, b);
        for allowed in 1..=MOST {
            let expected = (all <= allowed).then_some(all);
            prop_assert_eq!(
                Spelt::new(a).slips_to(b, allowed),
                expected,
                "{} {} {}",
                a,
                b,
                allowed
            );
        }
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(20_000))]

        #[test]
        fn few_letters_in_any_order_count_as_elsewhere(a in "[abc]{0,7}", b in "[abc]{0,7}") {
            agrees(&a, &b)?;
        }

        #[test]
        fn names_count_as_elsewhere(a in "[a-c-]{1,4}-[01]{1,3}é?", b in "[a-c-]{1,4}-[01]{1,3}é?") {
            agrees(&a, &b)?;
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(20_000))]

        #[test]
        fn plain_slips_count_as_elsewhere(a in "[abc]{0,8}", b in "[abc]{0,8}", most in 0..6usize) {
            let all = strsim::osa_distance(&a, &b);
            let letters = |text: &str| text.chars().collect::<Vec<_>>();
            let found = plain_slips(&letters(&a), &letters(&b), most);
            prop_assert_eq!(found, (all <= most).then_some(all), "{} {} {}", a, b, most);
        }
    }

    #[test]
    fn the_longest_words_are_measured_and_longer_ones_passed_over() {
        let (long, longer) = ("é".repeat(32), "é".repeat(35));
        assert_eq!(Spelt::new(&long).slips_to(&longer, 3), Some(3));
        assert_eq!(
            Spelt::new(&"x".repeat(64)).slips_to(&"x".repeat(67), 3),
            Some(3)
        );
        assert_eq!(
            Spelt::new(&"x".repeat(64)).slips_to(&"x".repeat(68), 3),
            None
        );
        assert_eq!(Spelt::new("x").slips_to(&"x".repeat(300_000), 3), None);
    }
}
