//! HTML, and XML for drawings and reports: names are words there, never a part of the marks.
//! What XML 1.0 allows in no document (2.2) is harmful everywhere, and replaced.

use super::Written;
use super::escape::Escape;
use super::harm::{begins_a_command, ends_a_command_mark, one_line};
use super::line::Line;

/// A page of HTML, element content and quoted attributes alike.
///
/// ```compile_fail
/// use cordwright::ink::{Html, Written};
/// let name = String::from("<script>");
/// Written::<Html>::new().ours("<p>").ours(name.as_str());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Html;

/// A document of XML 1.0, SVG among them; element content and quoted attributes alike.
///
/// ```compile_fail
/// use cordwright::ink::{Written, Xml};
/// let name = format!("{}\"/>", 1);
/// Written::<Xml>::new().ours("<text>").ours(&name);
/// ```
///
/// ```
/// use cordwright::ink::{Written, Xml};
/// let name = format!("{}\"/>", 1);
/// assert_eq!(Written::<Xml>::of(&name).as_str(), "1&quot;/&gt;");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Xml;

impl Escape for Html {
    fn put(text: &str, written: &mut String) {
        put(text, written);
    }
}

impl Escape for Xml {
    fn put(text: &str, written: &mut String) {
        put(text, written);
    }
}

impl Written<Xml> {
    /// Adds lines that are harmless already, as the text of an element or in an attribute: they are so
    /// too where a reader of the document prints them again.
    pub fn lines(&mut self, lines: &Written<Line>) -> &mut Self {
        for line in lines.as_str().split_inclusive('\n') {
            let words = line.trim_end_matches('\n');
            self.whole(words).ours(match words.len() < line.len() {
                true => "\n",
                false => "",
            });
        }
        self
    }
}

impl Written<Html> {
    /// Adds a drawing, whose escapes mean the same in a page.
    pub fn drawing(&mut self, svg: &Written<Xml>) -> &mut Self {
        self.text.push_str(&svg.text);
        self
    }
}

fn put(text: &str, written: &mut String) {
    let text = one_line(text);
    for (at, c) in text.char_indices() {
        let begins_line = written.is_empty() || written.ends_with('\n');
        match c {
            // In the log of a build server, no command either.
            ':' if begins_line && begins_a_command(&text[at..]) => written.push_str("&#58;"),
            '#' if ends_a_command_mark(&text[..at], &text[at..]) => written.push_str("&#35;"),
            '&' => written.push_str("&amp;"),
            '<' => written.push_str("&lt;"),
            '>' => written.push_str("&gt;"),
            '"' => written.push_str("&quot;"),
            '\'' => written.push_str("&#39;"),
            c => written.push(c),
        }
    }
}
