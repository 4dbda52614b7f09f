//! Numbers in sentences.

/// Formats a length in both units, for a reader who is not known: `1.2 mm (.047 in)`.
pub(crate) fn both(mm: f64) -> String {
    format!("{} mm ({} in)", trimmed(mm), inches(mm))
}

/// Two decimals, without zeros at the end.
fn trimmed(mm: f64) -> String {
    let text = format!("{mm:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

/// Three decimals, without a zero before the point.
fn inches(mm: f64) -> String {
    let text = format!("{:.3}", mm / 25.4);
    if text == "0.000" || text == "-0.000" {
        return "0".to_owned();
    }
    text.replacen("0.", ".", usize::from(mm.abs() < 25.4))
}

/// Formats hole numbers as a list: `1, 4, and 7`; long lists are cut.
pub(crate) fn holes(numbers: &[u32]) -> String {
    let shown: Vec<String> = numbers.iter().take(8).map(u32::to_string).collect();
    let more = numbers.len().saturating_sub(shown.len());
    match (shown.as_slice(), more) {
        (_, 1..) => format!("{}, and {more} more", shown.join(", ")),
        ([], _) => "none".to_owned(),
        ([one], _) => one.clone(),
        ([one, other], _) => format!("{one} and {other}"),
        ([most @ .., last], _) => format!("{}, and {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_have_both_units_as_a_shop_writes_them() {
        assert_eq!(both(1.2), "1.2 mm (.047 in)");
        assert_eq!(both(254.0), "254 mm (10.000 in)");
        assert_eq!(both(-1.0), "-1 mm (-.039 in)");
        assert_eq!(both(-0.0001), "0 mm (0 in)");
        assert_eq!(both(25.399), "25.4 mm (1.000 in)");
    }

    #[test]
    fn hole_numbers_are_a_list() {
        assert_eq!(holes(&[3]), "3");
        assert_eq!(holes(&[3, 4]), "3 and 4");
        assert_eq!(holes(&[3, 4, 5]), "3, 4, and 5");
        assert_eq!(
            holes(&(1..=20).collect::<Vec<_>>()),
            "1, 2, 3, 4, 5, 6, 7, 8, and 12 more"
        );
    }
}
