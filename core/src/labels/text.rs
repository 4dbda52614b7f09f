//! A line of text with bold parts.

/// A part of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    /// Its text.
    pub text: String,
    /// Whether it stands out.
    pub bold: bool,
}

/// A line of text with bold parts.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Text(Vec<Span>);

impl Text {
    /// Starts a line with plain text.
    #[must_use]
    pub fn plain(text: impl Into<String>) -> Text {
        Text::default().and(text)
    }

    /// Starts a line with bold text.
    #[must_use]
    pub fn strong(text: impl Into<String>) -> Text {
        Text::default().and_strong(text)
    }

    /// Appends plain text.
    #[must_use]
    pub fn and(mut self, text: impl Into<String>) -> Text {
        self.push(text.into(), false);
        self
    }

    /// Appends bold text.
    #[must_use]
    pub fn and_strong(mut self, text: impl Into<String>) -> Text {
        self.push(text.into(), true);
        self
    }

    /// Appends another line.
    #[must_use]
    pub fn and_text(mut self, other: Text) -> Text {
        self.0.extend(other.0);
        self
    }

    /// Returns its parts.
    pub fn spans(&self) -> &[Span] {
        &self.0
    }

    fn push(&mut self, text: String, bold: bool) {
        if !text.is_empty() {
            self.0.push(Span { text, bold });
        }
    }
}

impl std::fmt::Display for Text {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.iter().try_for_each(|span| f.write_str(&span.text))
    }
}
