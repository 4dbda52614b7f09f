//! Writes `TABLE.md`: each published value, ours, and the difference.

use crate::compare::{Comparison, compare};
use crate::sources::SOURCES;
use crate::table::Table;
use std::fmt::Write;

const HEAD: &str = "\
# Published values and ours

A test generates this file from `data/`; do not edit it. To regenerate it:

```sh
HOLEBOOK_WRITE_TABLE=1 cargo test -p holebook-tests --test published
```

Each section is one published table or worked example, with its source. 'Ours' has two more places than the published
value. A difference of up to half of the last published place is rounding; where a section says 'compared exactly', none
is allowed. Every larger difference has its reason beside it and is listed again at the end.
";

pub fn table_md() -> String {
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
                label(c),
                c.published,
                c.ours
            )
            .unwrap();
        }
    }
    writeln!(text, "\n## Differences beyond rounding\n\n{differing}").unwrap();
    text.trim_end().to_owned() + "\n"
}

fn section(text: &mut String, table: &Table, all: &[Comparison]) {
    let (title, about, name) = (&table.title, &table.about, &table.name);
    write!(text, "\n## {title}\n\n{about} File: `data/{name}.txt`.\n\n").unwrap();
    text.push_str("| value | published | ours | difference |\n|---|---|---|---|\n");
    for c in all {
        let reason = c
            .reason
            .as_ref()
            .map_or(String::new(), |r| format!(": {r}"));
        writeln!(
            text,
            "| {} | {} | {} | {}{reason} |",
            label(c),
            c.published,
            c.ours,
            c.difference
        )
        .unwrap();
    }
}

/// Row and column; the column name `value` is omitted.
fn label(c: &Comparison) -> String {
    match c.column.as_str() {
        "value" => c.row.clone(),
        column => format!("{} {column}", c.row),
    }
}
