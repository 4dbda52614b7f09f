//! The known name nearest to a misspelled one.

/// Returns a known name that contains the given one or is contained in it, or else the one that
/// needs the fewest changes of letters; `None` if that is more than half of them.
pub(super) fn nearest<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let compared = known.into_iter().map(|other| {
        let related = other.contains(name) || name.contains(other);
        (!related, changes_between(name, other), other)
    });
    let (unrelated, changes, nearest) = compared.min()?;
    let longer = name.len().max(nearest.len());
    (!unrelated || changes * 2 <= longer).then_some(nearest)
}

/// Returns the least number of letters to insert, delete or replace (Levenshtein distance).
fn changes_between(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, a) in one.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, b) in other.iter().enumerate() {
            let replaced = diagonal + usize::from(a != *b);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[other.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_are_counted() {
        assert_eq!(changes_between("kitten", "sitting"), 3);
        assert_eq!(changes_between("", "abc"), 3);
        assert_eq!(changes_between("crack", "crack"), 0);
    }

    #[test]
    fn nearest_is_close_or_nothing() {
        let known = ["crack", "damage", "depth_mm", "nearest_edge_mm"];
        assert_eq!(nearest("cracked", known), Some("crack"));
        assert_eq!(nearest("dept_mm", known), Some("depth_mm"));
        assert_eq!(nearest("edge_mm", known), Some("nearest_edge_mm"));
        assert_eq!(nearest("weather_vane_x", known), None);
        assert_eq!(nearest("x", []), None);
    }
}
