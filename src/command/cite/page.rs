//! A rule's page as text for a terminal: wrapped prose, examples as they are.

use crate::ink::{Look, Page, Plain, Written};

/// The page, which is Markdown, fit for `look`. Ends with a line feed.
pub(super) fn shown(page: &str, look: &Look) -> Written<Plain> {
    let mut sheet = Sheet {
        page: Page::new(look),
        block: None,
        look,
    };
    let mut fenced = false;
    for line in page.lines() {
        if line.trim_start().starts_with("```") {
            sheet.end_block();
            fenced = !fenced;
        } else if fenced {
            sheet.verbatim(&format!("    {line}"));
        } else {
            sheet.prose(line);
        }
    }
    sheet.end_block();
    sheet.page.end()
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
    fn prose(&mut self, line: &str) {
        let words = line.trim();
        if let Some(heading) = heading(words) {
            self.end_block();
            self.heading(heading);
        } else if words.starts_with('|') {
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

fn heading(words: &str) -> Option<&str> {
    let rest = words.trim_start_matches('#');
    let level = words.len() - rest.len();
    rest.strip_prefix(' ').filter(|_| (1..=6).contains(&level))
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

    const PAGE: &str = "\
# cord-overload

The cord carries more than it **bears**: at 30 °C
it may burn whoever touches it.

## An example

```yaml
cords:
  W-1: {type: c14-c13-1.5m, from: a very long line that nobody may break anywhere}
```

1. Fit a thicker cord, and see that
   its couplers bear the load.
- Or move the load.
";

    fn look(unicode: bool, color: bool) -> Look {
        Look {
            width: 40,
            color,
            unicode,
        }
    }

    #[test]
    fn prose_is_wrapped_and_examples_are_not() {
        let expected = "\
cord-overload

The cord carries more than it bears: at
30 °C it may burn whoever touches it.

An example

    cords:
      W-1: {type: c14-c13-1.5m, from: a very long line that nobody may break anywhere}

1. Fit a thicker cord, and see that its
   couplers bear the load.
- Or move the load.
";
        assert_eq!(shown(PAGE, &look(true, false)).as_str(), expected);
    }

    #[test]
    fn a_plain_terminal_gets_plain_text() {
        let text = shown(PAGE, &look(false, false)).into_string();
        assert!(text.is_ascii(), "{text}");
        let bold = shown(PAGE, &look(true, true)).into_string();
        assert!(bold.starts_with("\u{1b}[1mcord-overload\u{1b}[0m\n"));
    }
}
