//! The notes of a step, with their sources apart, so that screens can fold the sources away.

/// Details of a step, and where they come from.
#[derive(Default)]
pub(super) struct Notes {
    /// A sentence or two each.
    pub lines: Vec<String>,
    /// What each source is for, and the source; none twice.
    pub sources: Vec<String>,
}

impl Notes {
    pub fn add(&mut self, line: impl Into<String>) {
        self.lines.push(line.into());
    }

    pub fn add_all(&mut self, lines: impl IntoIterator<Item = String>) {
        self.lines.extend(lines);
    }

    pub fn source(&mut self, what: &str, source: &str) {
        let source = format!("{what}: {source}.");
        if !self.sources.contains(&source) {
            self.sources.push(source);
        }
    }
}
