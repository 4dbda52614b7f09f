//! Compares published cells with ours.

use crate::table::{Explanation, Row, Table};

/// What Holebook gives for a cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Ours {
    /// In the unit of the table.
    Number(f64),
    /// A name, compared letter for letter.
    Words(String),
    /// Holebook keeps no such figure.
    NotKept,
}

/// How Holebook answers a cell: its row, and the name of its column.
pub type Answer = fn(&Row<'_>, &str) -> Ours;

/// One published value with ours.
pub struct Compared {
    pub row: String,
    pub column: String,
    pub published: String,
    pub ours: String,
    /// `same`, or ours less the published figure.
    pub difference: String,
    /// Whether ours is the published figure, within the rounding of the print.
    pub agrees: bool,
    /// Why ours differs by more than that, where somebody said so.
    pub reason: Option<String>,
}

impl From<f64> for Ours {
    fn from(number: f64) -> Ours {
        Ours::Number(number)
    }
}

impl From<String> for Ours {
    fn from(words: String) -> Ours {
        Ours::Words(words)
    }
}

impl<T: Into<Ours>> From<Option<T>> for Ours {
    fn from(kept: Option<T>) -> Ours {
        kept.map_or(Ours::NotKept, Into::into)
    }
}

pub fn compare(table: &Table, answer: Answer) -> Vec<Compared> {
    let mut all = Vec::new();
    for row in table.rows() {
        for column in &table.published {
            let published = row.published(column);
            if published != "-" {
                all.push(cell(table, &row, column, published, answer(&row, column)));
            }
        }
    }
    all
}

fn cell(table: &Table, row: &Row<'_>, column: &str, published: &str, ours: Ours) -> Compared {
    let (shown, difference, agrees) = match ours {
        Ours::Number(ours) => numbers(table, published, ours),
        Ours::Words(ours) if ours == published => (ours, "same".to_owned(), true),
        Ours::Words(ours) => (ours, "another".to_owned(), false),
        Ours::NotKept => ("not kept".to_owned(), "-".to_owned(), false),
    };
    let key = row.key();
    let covers = |e: &&Explanation| e.covers(&key, column, &shown, published);
    let reason = table
        .explained
        .iter()
        .find(covers)
        .map(|e| e.reason.clone());
    Compared {
        row: key,
        column: column.to_owned(),
        published: published.to_owned(),
        ours: shown,
        difference,
        agrees,
        reason: if agrees { None } else { reason },
    }
}

/// Ours with two places more than the print, the difference, and whether it lies within the rounding.
fn numbers(table: &Table, published: &str, ours: f64) -> (String, String, bool) {
    let theirs: f64 = published
        .parse()
        .unwrap_or_else(|_| panic!("{}: `{published}` is not a number", table.name));
    let places = published.split_once('.').map_or(0, |(_, part)| part.len());
    let rounding = if table.exactly {
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

/// Takes trailing zeros away, down to so many decimal places.
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

/// What is wrong with a table: differences that nobody explains, and explanations of no difference.
pub fn faults(table: &Table, all: &[Compared]) -> Vec<String> {
    let name = &table.name;
    let differ = |c: &&Compared| !c.agrees && c.reason.is_none();
    let unexplained = all.iter().filter(differ).map(|c| {
        format!(
            "{name}: {} {}: published {}, ours {}, and no line `! {} | {} | {} | reason` explains it",
            c.row, c.column, c.published, c.ours, c.row, c.column, c.ours
        )
    });
    let stale = table.explained.iter().filter(|e| {
        let speaks = |c: &Compared| e.covers(&c.row, &c.column, &c.ours, &c.published);
        !all.iter().any(|c| !c.agrees && speaks(c))
    });
    let stale = stale.map(|e| {
        format!(
            "{name}: `! {} | {} | {}` explains a difference that is not there",
            e.row, e.column, e.ours
        )
    });
    unexplained.chain(stale).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(row: &Row<'_>, _: &str) -> Ours {
        match row.asked("size") {
            "a" => 1.2549.into(),
            "b" => 1.2551.into(),
            "c" => Ours::NotKept,
            _ => "H".to_owned().into(),
        }
    }

    fn found(rows: &str) -> Vec<String> {
        let table = Table::from_text("t", &format!("# T\n# Source: none.\nsize||x\n{rows}"));
        faults(&table, &compare(&table, answer))
    }

    #[test]
    fn a_difference_within_the_print_passes_and_one_beyond_it_does_not() {
        assert_eq!(found("a||1.25\nd||H\nb||-"), Vec::<String>::new());
        assert_eq!(found("b||1.25\nc||1\nd||G").len(), 3);
        assert_eq!(
            found("b||1.25\n! b | x | 1.2551 | a reason of some length").len(),
            0
        );
    }

    #[test]
    fn an_explanation_of_nothing_or_of_another_figure_does_not_pass() {
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
    fn exactly_means_the_figure_itself() {
        let table = Table::from_text(
            "t",
            "# T\n# Source: none. Compared exactly.\nsize||x\na||1.25",
        );
        assert_eq!(faults(&table, &compare(&table, answer)).len(), 1);
    }
}
