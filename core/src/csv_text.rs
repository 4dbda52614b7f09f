//! Texts as cells of a CSV file.

/// Puts an apostrophe before a text that a spreadsheet would work out as a formula.
pub(crate) fn not_a_formula(text: &str) -> String {
    const STARTS: [char; 10] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '＠'];
    let first = text.trim_start_matches(' ').chars().next();
    match first.is_some_and(|first| STARTS.contains(&first)) {
        true => format!("'{text}"),
        false => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The starts that the OWASP page "CSV Injection" lists (from memory).
    #[test]
    fn text_is_never_a_formula() {
        for text in [
            "=1+1", "+1", "-cmd", "@SUM(A1)", "\t=1", "\r=1", "  =1", "＝1",
        ] {
            assert_eq!(not_a_formula(text), format!("'{text}"));
        }
        for text in ["", "3/8-16 UNC", "Ø = 5", "掛", "مرحبا"] {
            assert_eq!(not_a_formula(text), text);
        }
    }
}
