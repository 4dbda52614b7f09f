//! Compares published values with Holebook's.

use crate::table::{Explanation, Row, Table};

/// Holebook's value for a cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Ours {
    /// In the unit of the table.
    Number(f64),
    /// A text, compared literally.
    Text(String),
    /// Holebook does not have this value.
    NotIncluded,
}

/// Computes Holebook's value from a row and a column name.
pub type Answer = fn(&Row<'_>, &str) -> Ours;

/// A published value with ours.
pub struct Comparison {
    pub row: String,
    pub column: String,
    pub published: String,
    pub ours: String,
    /// `same`, or ours minus the published value.
    pub difference: String,
    /// Whether ours agrees within the rounding of the published value.
    pub agrees: bool,
    /// Explanation of a larger difference, if there is one.
    pub reason: Option<String>,
}

impl From<f64> for Ours {
    fn from(number: f64) -> Ours {
        Ours::Number(number)
    }
}

impl From<String> for Ours {
    fn from(text: String) -> Ours {
        Ours::Text(text)
    }
}

impl<T: Into<Ours>> From<Option<T>> for Ours {
    fn from(kept: Option<T>) -> Ours {
        kept.map_or(Ours::NotIncluded, Into::into)
    }
}

pub fn compare(table: &Table, answer: Answer) -> Vec<Comparison> {
    let mut all = Vec::new();
    for row in table.rows() {
        for column in &table.published_columns {
            let published = row.published(column);
            if published != "-" {
                all.push(compare_cell(
                    table,
                    &row,
                    column,
                    published,
                    answer(&row, column),
                ));
            }
        }
    }
    all
}

fn compare_cell(
    table: &Table,
    row: &Row<'_>,
    column: &str,
    published: &str,
    ours: Ours,
) -> Comparison {
    let (shown, difference, agrees) = match ours {
        Ours::Number(ours) => compare_numbers(table, published, ours),
        Ours::Text(ours) if ours == published => (ours, "same".to_owned(), true),
        Ours::Text(ours) => (ours, "different".to_owned(), false),
        Ours::NotIncluded => ("not included".to_owned(), "-".to_owned(), false),
    };
    let key = row.key();
    let covers = |e: &&Explanation| e.covers(&key, column, &shown, published);
    let reason = table
        .explanations
        .iter()
        .find(covers)
        .map(|e| e.reason.clone());
    Comparison {
        row: key,
        column: column.to_owned(),
        published: published.to_owned(),
        ours: shown,
        difference,
        agrees,
        reason: if agrees { None } else { reason },
    }
}

/// Returns ours with two more places than published, the difference, and whether it is within
/// rounding.
fn compare_numbers(table: &Table, published: &str, ours: f64) -> (String, String, bool) {
    let theirs: f64 = published
        .parse()
        .unwrap_or_else(|_| panic!("{}: `{published}` is not a number", table.name));
    let places = published.split_once('.').map_or(0, |(_, part)| part.len());
    let rounding = if table.exact {
        0.0
    } else {
        0.5 * 0.1_f64.powi(places as i32)
    };
    let shown = trim(format!("{ours:.*}", places + 2), places);
    let difference = format!("{:+.*}", places + 2, ours - theirs);
    let difference = if difference
        .trim_start_matches(['+', '-', '0', '.'])
        .is_empty()
    {
        "same".to_owned()
    } else {
        trim(difference, places)
    };
    let agrees = (ours - theirs).abs() <= rounding + 1e-9 * theirs.abs().max(1.0);
    (shown, difference, agrees)
}

/// Removes trailing zeros, but keeps `least` decimal places.
fn trim(mut number: String, least: usize) -> String {
    let Some(point) = number.find('.') else {
        return number;
    };
    while number.ends_with('0') && number.len() > point + 1 + least {
        number.pop();
    }
    if number.ends_with('.') {
        number.pop();
    }
    number
}

/// Lists unexplained differences, and explanations without a difference.
pub fn problems(table: &Table, all: &[Comparison]) -> Vec<String> {
    let name = &table.name;
    let differ = |c: &&Comparison| !c.agrees && c.reason.is_none();
    let unexplained = all.iter().filter(differ).map(|c| {
        format!(
            "{name}: {} {}: published {}, ours {}; add `! {} | {} | {} | reason` to explain it",
            c.row, c.column, c.published, c.ours, c.row, c.column, c.ours
        )
    });
    let stale = table.explanations.iter().filter(|e| {
        let speaks = |c: &Comparison| e.covers(&c.row, &c.column, &c.ours, &c.published);
        !all.iter().any(|c| !c.agrees && speaks(c))
    });
    let stale = stale.map(|e| {
        format!(
            "{name}: `! {} | {} | {}` explains no difference; remove it",
            e.row, e.column, e.ours
        )
    });
    unexplained.chain(stale).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(row: &Row<'_>, _: &str) -> Ours {
        match row.input("size") {
            "a" => 1.2549.into(),
            "b" => 1.2551.into(),
            "c" => Ours::NotIncluded,
            _ => "H".to_owned().into(),
        }
    }

    fn found(rows: &str) -> Vec<String> {
        let table = Table::parse("t", &format!("# T\n# Source: none.\nsize||x\n{rows}"));
        problems(&table, &compare(&table, answer))
    }

    #[test]
    fn only_differences_within_rounding_pass() {
        assert_eq!(found("a||1.25\nd||H\nb||-"), Vec::<String>::new());
        assert_eq!(found("b||1.25\nc||1\nd||G").len(), 3);
        assert_eq!(
            found("b||1.25\n! b | x | 1.2551 | a reason of some length").len(),
            0
        );
    }

    #[test]
    fn unused_and_outdated_explanations_fail() {
        assert_eq!(
            found("a||1.25\n! a | x | 1.2549 | a reason of some length").len(),
            1
        );
        assert_eq!(
            found("b||1.25\n! b | x | 1.2559 | a reason of some length").len(),
            2
        );
    }

    #[test]
    fn a_column_may_be_explained_within_a_bound() {
        let all = "! * | x | within 0.006 | a reason of some length";
        assert_eq!(found(&format!("b||1.25\na||1.26\n{all}")).len(), 0);
        assert_eq!(found(&format!("b||1.25\na||1.27\n{all}")).len(), 1);
        assert_eq!(found(&format!("a||1.25\n{all}")).len(), 1);
    }

    #[test]
    fn compared_exactly_allows_no_rounding() {
        let table = Table::parse(
            "t",
            "# T\n# Source: none. Compared exactly.\nsize||x\na||1.25",
        );
        assert_eq!(problems(&table, &compare(&table, answer)).len(), 1);
    }
}
