//! A rule's page as text for a terminal: what is wanted first comes first, prose is wrapped, and
//! examples stand as they are.

use crate::ink::{Look, Page, Plain, Written};
use crate::report::count;

/// The sections of which a reader who stands at a rack has the most use, behind the hazard.
const FIRST: [&str; 2] = ["Putting it right", "Basis"];
/// The section that ends every page.
const LAST: &str = "Caution";

/// The page, which is Markdown, fit for `look`: hazard, cure and basis, then what else is to be
/// known, with the examples if they are wanted. Ends with a line feed.
pub(super) fn shown(page: &str, with_examples: bool, look: &Look) -> Written<Plain> {
    let mut sections = sections(page).into_iter();
    let Some(top) = sections.next() else {
        return Written::new();
    };
    let (examples, prose): (Vec<_>, Vec<_>) = sections.partition(Section::is_example);
    let titled = |title: &'static str| prose.iter().filter(move |one| one.title == title);
    let is_rest = |one: &&Section<'_>| !FIRST.contains(&one.title) && one.title != LAST;
    let (hazard, more) = top.body.split_once("\n\n").unwrap_or((top.body, ""));
    let mut sheet = Sheet {
        page: Page::new(look),
        block: None,
        look,
    };
    sheet.heading(top.title);
    sheet.paragraphs(hazard);
    FIRST.iter().for_each(|first| sheet.sections(titled(first)));
    sheet.paragraphs(more);
    sheet.sections(prose.iter().filter(is_rest));
    if with_examples {
        sheet.sections(examples.iter());
    } else if !examples.is_empty() {
        let count = count(examples.len(), "example", "examples");
        let name = top.title;
        sheet.paragraphs(&format!("With {count}: cordwright cite {name} --examples"));
    }
    sheet.sections(titled(LAST));
    sheet.page.end()
}

/// A part of a page under a heading of its own.
#[derive(Clone, Copy)]
struct Section<'a> {
    title: &'a str,
    body: &'a str,
}

impl Section<'_> {
    /// Whether it shows definitions, or what is said of them.
    fn is_example(&self) -> bool {
        self.body.contains("```")
    }
}

/// The page's own heading with what stands under it, and its sections.
fn sections(page: &str) -> Vec<Section<'_>> {
    let page = page.strip_prefix("# ").unwrap_or(page);
    let parts = page.split("\n## ").map(|part| {
        let (title, body) = part.split_once('\n').unwrap_or((part, ""));
        Section {
            title,
            body: body.trim_matches('\n'),
        }
    });
    parts.collect()
}

/// Prose gathered over several lines of the source.
struct Block {
    /// What stands before its first line; later lines are indented as far.
    mark: String,
    words: String,
}

struct Sheet<'a> {
    page: Page<'a>,
    block: Option<Block>,
    look: &'a Look,
}

impl Sheet<'_> {
    /// Sections, each after a blank line.
    fn sections<'s>(&mut self, sections: impl Iterator<Item = &'s Section<'s>>) {
        for section in sections {
            self.verbatim("");
            self.heading(section.title);
            self.body(section.body);
        }
    }

    /// Text after a blank line, if there is any.
    fn paragraphs(&mut self, text: &str) {
        if !text.is_empty() {
            self.verbatim("");
            self.body(text);
        }
    }

    fn body(&mut self, text: &str) {
        let mut fenced = false;
        for line in text.lines() {
            if line.trim_start().starts_with("```") {
                self.end_block();
                fenced = !fenced;
            } else if fenced {
                self.verbatim(&format!("    {line}"));
            } else {
                self.prose(line);
            }
        }
        self.end_block();
    }

    fn prose(&mut self, line: &str) {
        let words = line.trim();
        if words.starts_with('|') {
            self.end_block();
            self.verbatim(line);
        } else if words.is_empty() {
            self.end_block();
            self.verbatim("");
        } else if let Some((mark, rest)) = list_item(line) {
            self.end_block();
            self.block = Some(Block {
                mark: mark.to_owned(),
                words: rest.to_owned(),
            });
        } else if let Some(block) = &mut self.block {
            block.words.push(' ');
            block.words.push_str(words);
        } else {
            self.block = Some(Block {
                mark: String::new(),
                words: words.to_owned(),
            });
        }
    }

    fn heading(&mut self, words: &str) {
        let words = self.page.words(words);
        let (begin, end) = match self.look.color {
            true => ("\u{1b}[1m", "\u{1b}[0m"),
            false => ("", ""),
        };
        let mut heading = Written::new();
        heading.ours(begin).push(&words).ours(end);
        self.page.line(&heading);
    }

    fn verbatim(&mut self, line: &str) {
        self.page.line(&self.page.words(line));
    }

    fn end_block(&mut self) {
        if let Some(Block { mark, words }) = self.block.take() {
            self.page
                .beside(&Written::of(&mark), &words.replace("**", ""));
        }
    }
}

/// The mark of a list item, with the blanks before and after it, and what follows.
fn list_item(line: &str) -> Option<(&str, &str)> {
    let words = line.trim_start();
    let indent = line.len() - words.len();
    let digits = words.bytes().take_while(u8::is_ascii_digit).count();
    let mark = match words.get(digits..)? {
        rest if digits > 0 && rest.starts_with(". ") => digits + 2,
        rest if digits == 0 && (rest.starts_with("- ") || rest.starts_with("* ")) => 2,
        _ => return None,
    };
    Some(line.split_at(indent + mark))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::RULES;

    const PAGE: &str = "\
# cord-overload

The cord carries more than it **bears**: at 30 °C
it may burn whoever touches it.

A cord is judged by its conductor.

## Sets it off

One cord.

```yaml
cords:
  W-1: {type: c14-c13-1.5m, from: a very long line that nobody may break anywhere}
```

## When a fact is missing

It is asked for.

## Putting it right

1. Fit a thicker cord, and see that
   its couplers bear the load.
- Or move the load.

## Basis

The conductor's table.

## Caution

Advisory only.
";

    fn look(unicode: bool, color: bool) -> Look {
        Look {
            width: 40,
            color,
            unicode,
        }
    }

    #[test]
    fn what_is_wanted_first_comes_first_and_prose_is_wrapped() {
        let expected = "\
cord-overload

The cord carries more than it bears: at
30 °C it may burn whoever touches it.

Putting it right
1. Fit a thicker cord, and see that its
   couplers bear the load.
- Or move the load.

Basis
The conductor's table.

A cord is judged by its conductor.

When a fact is missing
It is asked for.

With 1 example: cordwright cite
cord-overload --examples

Caution
Advisory only.
";
        assert_eq!(shown(PAGE, false, &look(true, false)).as_str(), expected);
    }

    #[test]
    fn examples_stand_as_they_are_where_they_are_wanted() {
        let example = "
Sets it off
One cord.

    cords:
      W-1: {type: c14-c13-1.5m, from: a very long line that nobody may break anywhere}

Caution
";
        let text = shown(PAGE, true, &look(true, false)).into_string();
        assert!(text.contains(example), "{text}");
        assert!(!text.contains("--examples"), "{text}");
    }

    #[test]
    fn hazard_cure_and_basis_of_every_rule_are_on_the_first_screen() {
        let look = Look {
            width: 80,
            color: false,
            unicode: true,
        };
        for rule in RULES {
            let text = shown(rule.page, false, &look).into_string();
            let lines: Vec<&str> = text.lines().take(24).collect();
            let at = |line: &str| lines.iter().position(|one| *one == line);
            let basis = at("Basis").unwrap_or_else(|| panic!("{text}"));
            assert_eq!((lines[0], lines[1]), (rule.name, ""));
            assert!(
                at("Putting it right").is_some_and(|cure| cure < basis),
                "{text}"
            );
            // Its end, too: the blank line behind it.
            assert!(lines[basis..].contains(&""), "{text}");
            assert!(!text.contains("\n    "), "{text}");
        }
    }

    #[test]
    fn a_plain_terminal_gets_plain_text() {
        let text = shown(PAGE, true, &look(false, false)).into_string();
        assert!(text.is_ascii(), "{text}");
        let coloured = shown(PAGE, true, &look(true, true)).into_string();
        assert!(coloured.starts_with("\u{1b}[1mcord-overload\u{1b}[0m\n"));
    }
}
