//! Shapes of the text itself: keys, merges, anchors, brackets, comments, files.

use super::{Files, HEAD, devices, each, site, strip};

/// One strip with a device on every outlet, and the cords between, `of_cord` in each.
fn cords(count: usize, of_cord: impl Fn(usize) -> String) -> String {
    let strips = strip(count) + "pdus:\n  p: {model: strip, rack: r1, from: A1}\n";
    let cord = |n: usize| format!("  W-{n}: {}", of_cord(n));
    HEAD.to_owned()
        + &strips
        + &devices(count, "recorder", "0.1 W")
        + "cords:\n"
        + &each(count, cord)
}

fn sound(n: usize) -> String {
    format!("{{type: blue, from: p/{n}, to: d{n}/psu1}}")
}

/// Keys that no cord has.
pub fn unknown_keys(count: usize) -> Files {
    let keys = each(count, |n| format!("    k{n}: 1"));
    site(cords(1, sound) + "  W-x:\n    type: blue\n    from: p/1\n    to: d1/psu1\n" + &keys)
}

/// Keys that are nearly one of a cord.
pub fn near_keys(count: usize) -> Files {
    let keys = each(count, |n| format!("    lenght{}: 1", n % 10));
    site(cords(1, sound) + "  W-x:\n    type: blue\n    from: p/1\n    to: d1/psu1\n" + &keys)
}

/// One key that is known, often.
pub fn repeated_keys(count: usize) -> Files {
    site(cords(1, sound) + "  W-x:\n" + &each(count, |_| "    type: blue".to_owned()))
}

/// All of a site on one line.
pub fn one_line(count: usize) -> Files {
    let text = cords(count, sound);
    let (head, cords) = text.split_once("cords:\n").expect("cords");
    let cords: Vec<&str> = cords.lines().map(str::trim).collect();
    site(format!("{head}cords: {{{}}}\n", cords.join(", ")))
}

/// Cords of a type that is not there, all on one line.
pub fn one_bad_line(count: usize) -> Files {
    let files = one_line(count);
    site(files[0].1.replace("{type: blue", "{type: gone"))
}

/// A name that takes a third of the file, and cords that all come from there.
pub fn long_name_by_alias(count: usize) -> Files {
    let name = "x".repeat(count * 10);
    let names = format!("notes: [&long {name}]\n");
    let cord = |n: usize| format!("{{type: blue, from: *long, to: d{n}/psu1}}");
    site(names + &cords(count, cord))
}

/// A text that takes a third of the file, and devices that all draw that much.
pub fn long_draw_by_alias(count: usize) -> Files {
    let text = "1".repeat(count * 10);
    let device = |n: usize| format!("  d{n}: {{model: recorder, rack: r1, draw: *long}}");
    site(format!(
        "notes: [&long '{text}']\n{HEAD}devices:\n{}",
        each(count, device)
    ))
}

/// Names as long as one may be, by alias in every cord.
pub fn page_long_name_by_alias(count: usize) -> Files {
    let names = format!("notes: [&long {}]\n", "x".repeat(4_000));
    let cord = |n: usize| format!("{{type: *long, from: *long, to: d{n}/psu1}}");
    site(names + &cords(count, cord))
}

/// Cord types, each merged from the one before.
pub fn merge_chain(count: usize) -> Files {
    let kind = |n: usize| match n {
        1 => "  t1: &t1 {plug: C14, connector: C13}".to_owned(),
        _ => format!("  t{n}: &t{n} {{<<: *t{}}}", n - 1),
    };
    site(HEAD.to_owned() + &each(count, kind))
}

/// A cord that merges one anchor again and again.
pub fn merge_list(count: usize) -> Files {
    let merges = vec!["*all"; count].join(", ");
    let cords = "cords:\n  W-1: &all {type: blue, from: A1, to: d1/psu1}\n  W-2: {<<: [";
    site(HEAD.to_owned() + cords + &merges + "]}\n")
}

/// Cords that merge all but their ends.
pub fn merged_cords(count: usize) -> Files {
    let cord = |n: usize| match n {
        1 => "&all {type: blue, from: p/1, to: d1/psu1}".to_owned(),
        _ => format!("{{<<: *all, from: p/{n}, to: d{n}/psu1}}"),
    };
    site(cords(count, cord))
}

/// Cords that merge what is wrong.
pub fn bad_merged_cords(count: usize) -> Files {
    let cord = |n: usize| match n {
        1 => "&all {type: blue, from: p/1, to: d1/psu1, lenght: 2 m, length: 2 apples}".to_owned(),
        _ => format!("{{<<: *all, from: p/{n}, to: d{n}/psu1}}"),
    };
    site(cords(count, cord))
}

/// An anchor on every device.
pub fn anchors(count: usize) -> Files {
    let device = |n: usize| format!("  d{n}: &d{n} {{model: recorder, rack: r1, draw: 1 W}}");
    site(HEAD.to_owned() + "devices:\n" + &each(count, device))
}

/// Aliases without an anchor.
pub fn lost_aliases(count: usize) -> Files {
    site(HEAD.to_owned() + "devices:\n" + &each(count, |n| format!("  d{n}: *e{n}")))
}

/// Lists in lists, as deep as is allowed, again and again.
pub fn brackets(count: usize) -> Files {
    let deep = "[".repeat(60) + &"]".repeat(60);
    let cord = |n: usize| format!("  W-{n}: {deep}");
    site(HEAD.to_owned() + "cords:\n" + &each(count, cord))
}

/// Mappings in mappings, too deep.
pub fn steps(count: usize) -> Files {
    let deep = (0..count).fold(String::new(), |text, n| {
        text + &" ".repeat(n % 200) + "a:\n"
    });
    site(HEAD.to_owned() + "---\n" + &deep)
}

/// Documents of one cord each.
pub fn documents(count: usize) -> Files {
    let cord = |n: usize| format!("---\ncords:\n  W-{n}: {{type: blue, from: A1, to: d1/psu1}}");
    site(HEAD.to_owned() + &each(count, cord))
}

/// Documents that end in an error.
pub fn broken_documents(count: usize) -> Files {
    site(HEAD.to_owned() + &each(count, |n| format!("---\ncords: {{W-{n}: {{type: [}}")))
}

/// A comment as long as the file.
pub fn comment(count: usize) -> Files {
    site(format!("{}# {}\n", HEAD, "said ".repeat(count)))
}

/// A comment before every key.
pub fn comments(count: usize) -> Files {
    let device = |n: usize| {
        format!(
            "  # the {n}th\n  d{n}: # here\n    # and there\n    model: recorder # the usual\n    draw: 1 W"
        )
    };
    site(HEAD.to_owned() + "devices:\n" + &each(count, device))
}

/// A text in a block where a word is wanted.
pub fn block(count: usize) -> Files {
    let text = each(count, |n| format!("      said {n}"));
    site(HEAD.to_owned() + "devices:\n  d1:\n    model: |\n" + &text)
}

/// A name of escapes only.
pub fn escapes(count: usize) -> Files {
    let device = |n: usize| {
        format!(
            "  \"d\\x{:02x}\\u00e9\\t{n}\": {{model: \"re\\x63order\"}}",
            n % 256
        )
    };
    site(HEAD.to_owned() + "devices:\n" + &each(count, device))
}

/// Characters that no terminal should see.
pub fn controls(count: usize) -> Files {
    let device = |n: usize| format!("  d{n}: {{model: \"\\e[31m\\u202e{n}\"}}");
    site(HEAD.to_owned() + "devices:\n" + &each(count, device))
}

/// One device with a name as long as the file.
pub fn long_name(count: usize) -> Files {
    let name = "d".repeat(count);
    site(format!(
        "{HEAD}devices:\n  ? {name}\n  : {{model: gone, rack: gone, draw: x}}\n"
    ))
}

/// Cords with names of a thousand letters.
pub fn long_names(count: usize) -> Files {
    let name = "w".repeat(1000);
    let cord = |n: usize| format!("  W-{n}{name}: {{type: gone, from: A9, to: d{n}/psu1}}");
    site(HEAD.to_owned() + "cords:\n" + &each(count, cord))
}

/// Tags that mean nothing here.
pub fn tags(count: usize) -> Files {
    let device = |n: usize| format!("  d{n}: !mine {{model: !yours recorder}}");
    site(HEAD.to_owned() + "devices:\n" + &each(count, device))
}

/// Keys that are no words.
pub fn list_keys(count: usize) -> Files {
    let device = |n: usize| format!("  ? [d{n}]\n  : {{model: recorder}}");
    site(HEAD.to_owned() + "devices:\n" + &each(count, device))
}

/// Cords with every key begun.
pub fn nothing(count: usize) -> Files {
    let cord =
        |n: usize| format!("  W-{n}: {{type: , from: , to: , length: , bundle: , surplus: }}");
    site(HEAD.to_owned() + "cords:\n" + &each(count, cord))
}

/// Cords of which nothing is written but the name.
pub fn empty_cords(count: usize) -> Files {
    site(HEAD.to_owned() + "cords:\n" + &each(count, |n| format!("  {n}:")))
}

/// Names that other readers take for something else.
pub fn traps(count: usize) -> Files {
    let device = |n: usize| format!("  {}:{:02}: {{model: no, rack: r1}}", n / 60 + 1, n % 60);
    site(HEAD.to_owned() + "devices:\n" + &each(count, device))
}

/// A file for every cord.
pub fn files(count: usize) -> Files {
    let mut files = site(cords(0, sound));
    files.extend((1..=count).map(|n| {
        let text = format!("cords:\n  W-{n}: {{type: blue, from: p/{n}, to: d{n}/psu1}}\n");
        (format!("cords/{}/{n}.yaml", n % 100), text)
    }));
    files
}

/// Patterns of files, and files to hold against them.
pub fn patterns(count: usize) -> Files {
    let pattern = |n: usize| format!("    - '**/a{n}*b?c[0-9]/{{x,y}}*.yaml'");
    let head = HEAD.replacen(
        "site: {",
        "site: {files: {take-in: ['**/*.yaml'], leave-out: *out}, ",
        1,
    );
    let mut files = site(format!(
        "notes:\n  out: &out\n{}{head}",
        each(count, pattern)
    ));
    files.extend((1..=count / 10).map(|n| (format!("aa/aaaab{n}.yaml"), "{}\n".to_owned())));
    files
}

/// Labels against a pattern as long as they are together.
pub fn label_pattern(count: usize) -> Files {
    let parts: Vec<String> = (1..=count).map(|n| format!("(W-{n}[a-z]*)?")).collect();
    let label = format!("site: {{label: '{}', ", parts.concat());
    site(cords(count, sound).replacen("site: {", &label, 1))
}

/// Labels against a pattern that can match in very many ways.
pub fn hard_pattern(count: usize) -> Files {
    let label = "site: {label: '(\\w?-?\\w?){12}y', ";
    site(cords(count, sound).replacen("site: {", label, 1))
}

/// A file that is no site.
pub fn empty_file(_: usize) -> Files {
    vec![("README.md".to_owned(), "Nothing yet.\n".to_owned())]
}
