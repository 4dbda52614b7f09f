//! Writes `TABLE.md`: each published value, ours, and the difference.

use crate::compare::{Compared, compare};
use crate::sources::SOURCES;
use crate::table::Table;
use std::fmt::Write;

const HEAD: &str = "\
# Published figures and ours

This file is written by a test from the files in `data/`; do not edit it. To write it anew:

```sh
HOLEBOOK_WRITE_TABLE=1 cargo test -p holebook-tests --test published
```

Each section is one published table or worked example, with its source. 'Ours' has two places more than the print. A
difference of up to half of the last place printed is rounding. Where a section says 'compared exactly', there is none.
Every difference beyond that has its reason beside it, and they are listed once more at the end.
";

pub fn whole() -> String {
    let mut text = HEAD.to_owned();
    let mut differing = String::new();
    for &(name, answer) in SOURCES {
        let table = Table::read(name);
        let all = compare(&table, answer);
        section(&mut text, &table, &all);
        for c in all.iter().filter(|c| !c.agrees) {
            let reason = c.reason.as_deref().unwrap_or("not explained");
            writeln!(
                differing,
                "- {}, {}: published {}, ours {}; {reason}.",
                table.title,
                what(c),
                c.published,
                c.ours
            )
            .unwrap();
        }
    }
    writeln!(
        text,
        "\n## Where they differ by more than rounding\n\n{differing}"
    )
    .unwrap();
    text.trim_end().to_owned() + "\n"
}

fn section(text: &mut String, table: &Table, all: &[Compared]) {
    let (title, about, name) = (&table.title, &table.about, &table.name);
    write!(text, "\n## {title}\n\n{about} File: `data/{name}.txt`.\n\n").unwrap();
    text.push_str("| what | published | ours | difference |\n|---|---|---|---|\n");
    for c in all {
        let reason = c
            .reason
            .as_ref()
            .map_or(String::new(), |r| format!(": {r}"));
        writeln!(
            text,
            "| {} | {} | {} | {}{reason} |",
            what(c),
            c.published,
            c.ours,
            c.difference
        )
        .unwrap();
    }
}

/// Row and column; a table with one column of values needs no name for it.
fn what(c: &Compared) -> String {
    match c.column.as_str() {
        "value" => c.row.clone(),
        column => format!("{} {column}", c.row),
    }
}
