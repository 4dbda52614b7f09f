//! Fills pages from top to bottom: paragraphs, table rows, and room for drawings, each page with its
//! head and foot.

use crate::PaperError;
use crate::page::{Area, Page, PaperSize, Pen};
use crate::pdf::{About, write};
use crate::text::{Letters, Line};
use chrono::{DateTime, FixedOffset};
use holebook_core::labels::date_time;

/// Height of a line over the size of its text.
pub const LEADING: f32 = 1.26;
/// Size of ordinary text.
pub const BODY: f32 = 8.6;
/// Size of small text.
pub const SMALL: f32 = 7.4;
/// Size of a heading.
pub const HEADING: f32 = 10.5;

/// Space around the text at the left, right, and bottom.
const MARGIN: f32 = 36.0;
/// Height of the head of a page with the margin above it.
const HEAD: f32 = 70.0;
/// Height of the foot of a page with the margin below it.
const FOOT: f32 = 44.0;

/// What stands on every page.
#[derive(Debug, Clone)]
pub struct Head {
    /// Which sheet this is.
    pub sheet: String,
    /// The casting.
    pub casting: String,
    /// The face.
    pub face: String,
    /// The notebook that it was printed from.
    pub notebook: String,
    /// Who printed it; empty if no name is set.
    pub by: String,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// Pages that are filled one after the other.
pub struct Paper {
    head: Head,
    size: (f32, f32),
    pages: Vec<Page>,
    /// Where the next thing goes on the last page.
    y: f32,
}

impl Paper {
    /// Starts with an empty page, upright.
    pub fn new(size: PaperSize, head: Head) -> Paper {
        Paper {
            head,
            size: size.points(),
            pages: vec![Page::default()],
            y: HEAD,
        }
    }

    /// Returns the left edge of the text.
    pub fn left(&self) -> f32 {
        MARGIN
    }

    /// Returns the width of the text.
    pub fn width(&self) -> f32 {
        self.size.0 - 2.0 * MARGIN
    }

    /// Returns the right edge of the text.
    pub fn right(&self) -> f32 {
        self.size.0 - MARGIN
    }

    /// Returns where the next thing goes.
    pub fn y(&self) -> f32 {
        self.y
    }

    /// Returns the room that is left on this page.
    pub fn room(&self) -> f32 {
        self.size.1 - FOOT - self.y
    }

    /// Returns the room on an empty page.
    pub fn full_room(&self) -> f32 {
        self.size.1 - FOOT - HEAD
    }

    /// Returns whether nothing is on this page yet.
    pub fn is_at_top(&self) -> bool {
        self.y == HEAD
    }

    /// Moves down.
    pub fn skip(&mut self, height: f32) {
        self.y += height;
    }

    /// Returns the page that is filled.
    pub fn page(&mut self) -> &mut Page {
        if self.pages.is_empty() {
            self.pages.push(Page::default());
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    /// Starts a new page.
    pub fn break_page(&mut self) {
        self.pages.push(Page::default());
        self.y = HEAD;
    }

    /// Starts a new page unless there is room for something of a height here. Returns whether it did.
    pub fn ensure(&mut self, height: f32) -> bool {
        let breaks = self.room() < height && !self.is_at_top();
        if breaks {
            self.break_page();
        }
        breaks
    }

    /// Writes a heading that stays with what follows, which needs `height` more.
    pub fn heading(&mut self, text: &str, height: f32) {
        self.ensure(HEADING * 2.0 + height);
        self.skip(if self.is_at_top() { 0.0 } else { 5.0 });
        let (x, y) = (self.left(), self.y + HEADING);
        self.page().text(x, y, HEADING, Letters::bold(text));
        self.skip(HEADING * LEADING + 2.0);
    }

    /// Writes a paragraph over the width of the page, and over pages.
    pub fn paragraph(&mut self, letters: impl Into<Letters>, size: f32) {
        let lines = letters.into().wrapped(self.width(), size);
        for line in lines {
            self.ensure(size * LEADING);
            let (x, y) = (self.left(), self.y + size);
            self.page().line_of_text(x, y, size, 0, line);
            self.skip(size * LEADING);
        }
        self.skip(2.5);
    }

    /// Writes the lines of a text from the top of an area. Returns their height.
    pub fn lines_at(&mut self, x: f32, top: f32, size: f32, lines: Vec<Line>) -> f32 {
        let height = lines.len() as f32 * size * LEADING;
        for (at, line) in lines.into_iter().enumerate() {
            let y = top + size + at as f32 * size * LEADING;
            self.page().line_of_text(x, y, size, 0, line);
        }
        height
    }

    /// Writes the head and foot of each page, and the whole as a PDF.
    pub fn finish(mut self) -> Result<Vec<u8>, PaperError> {
        let count = self.pages.len();
        for at in 0..count {
            self.add_head(at);
            self.add_foot(at, count);
        }
        let title = format!(
            "{}: {}, {}",
            self.head.sheet, self.head.casting, self.head.face
        );
        let about = About {
            title,
            at: self.head.at,
        };
        write(&self.pages, self.size, &about)
    }

    fn add_head(&mut self, at: usize) {
        const TITLE: f32 = 14.0;
        let (left, right) = (self.left(), self.right());
        let sheet = Letters::bold(&self.head.sheet);
        let room = right - left - sheet.width(TITLE) - 12.0;
        let face = cut(Letters::bold(&self.head.face), room, 11.0);
        let about = Letters::bold(&self.head.casting)
            .and(&format!("   ·   Notebook: {}", self.head.notebook), false);
        let about = cut(about, right - left, BODY);
        let page = &mut self.pages[at];
        page.text(left, MARGIN + 10.0, TITLE, sheet);
        page.text_right(right, MARGIN + 10.0, 11.0, face);
        page.text(left, MARGIN + 22.0, BODY, about);
        page.line((left, MARGIN + 27.0), (right, MARGIN + 27.0), Pen::LINE);
    }

    fn add_foot(&mut self, at: usize, count: usize) {
        let (left, right) = (self.left(), self.right());
        let y = self.size.1 - MARGIN + 4.0;
        let number = Letters::bold(&format!("Page {} of {count}", at + 1));
        let by = match self.head.by.is_empty() {
            true => String::new(),
            false => format!(", by {}", self.head.by),
        };
        let printed = format!("Printed {}{by}", date_time(&self.head.at));
        let room = right - left - number.width(SMALL) - 12.0;
        let printed = cut(Letters::plain(&printed), room, SMALL);
        let page = &mut self.pages[at];
        page.line((left, y - 10.0), (right, y - 10.0), Pen::HAIR);
        page.text(left, y, SMALL, printed);
        page.text_right(right, y, SMALL, number);
    }
}

/// Returns letters that fit a width: cut where they would leave it, with a sign that they go on.
fn cut(letters: Letters, width: f32, size: f32) -> Letters {
    if letters.width(size) <= width {
        return letters;
    }
    let more = Letters::plain("…");
    let lines = letters.wrapped((width - more.width(size)).max(size), size);
    let first = lines.into_iter().next();
    Letters::of_line(first.unwrap_or(Line(Vec::new()))).and_letters(&more)
}

/// A column of a table.
#[derive(Debug, Clone, Copy)]
pub struct Column<'a> {
    /// Its title; a new line breaks it.
    pub title: &'a str,
    /// Its width, points.
    pub width: f32,
}

/// What a cell of a table holds.
#[derive(Debug, Clone)]
pub enum Cell {
    /// Lines of text with their size.
    Text(Vec<(Letters, f32)>),
    /// A box to write in, with what is known already.
    Box(Letters),
}

/// A table that repeats its titles on each page.
pub struct Table<'a> {
    columns: &'a [Column<'a>],
    least_height: f32,
}

/// Space between a cell's edge and its text.
const CELL: f32 = 2.5;

impl<'a> Table<'a> {
    /// Writes the titles. Rows are at least `least_height` high.
    pub fn start(paper: &mut Paper, columns: &'a [Column<'a>], least_height: f32) -> Table<'a> {
        let table = Table {
            columns,
            least_height,
        };
        paper.ensure(3.0 * least_height);
        table.titles(paper);
        table
    }

    fn titles(&self, paper: &mut Paper) {
        let wrapped: Vec<Vec<Line>> = self
            .columns
            .iter()
            .map(|column| Letters::bold(column.title).wrapped(column.width - 2.0 * CELL, SMALL))
            .collect();
        let lines = wrapped.iter().map(Vec::len).max().unwrap_or(0) as f32;
        let (top, mut x) = (paper.y(), paper.left());
        for (column, lines) in self.columns.iter().zip(wrapped) {
            paper.lines_at(x + CELL, top, SMALL, lines);
            x += column.width;
        }
        paper.skip(lines * SMALL * LEADING + 2.0);
        let (left, right, y) = (paper.left(), x, paper.y());
        paper.page().line((left, y), (right, y), Pen::LINE);
    }

    /// Writes a row; one that does not fit on this page starts the next, and one that is taller than a
    /// page goes on there.
    pub fn row(&self, paper: &mut Paper, cells: Vec<Cell>) {
        let columns = self.columns.iter().zip(cells);
        let wrapped = columns.map(|(column, cell)| Wrapped::of(cell, column.width - 2.0 * CELL));
        let mut left: Vec<Wrapped> = wrapped.collect();
        loop {
            let height = (tallest(&left) + 2.0 * CELL).max(self.least_height);
            if paper.ensure(height) {
                self.titles(paper);
            }
            let room = paper.room() - 2.0 * CELL;
            let rest: Vec<Wrapped> = left.iter_mut().map(|cell| cell.split_off(room)).collect();
            self.draw(paper, left);
            if rest.iter().all(|cell| cell.lines.is_empty()) {
                return;
            }
            left = rest;
            paper.break_page();
            self.titles(paper);
        }
    }

    fn draw(&self, paper: &mut Paper, cells: Vec<Wrapped>) {
        let height = (tallest(&cells) + 2.0 * CELL).max(self.least_height);
        let (top, mut x) = (paper.y(), paper.left());
        for (column, cell) in self.columns.iter().zip(cells) {
            cell.draw(paper, (x, top, column.width, height));
            x += column.width;
        }
        let left = paper.left();
        paper.skip(height);
        let y = paper.y();
        paper.page().line((left, y), (x, y), Pen::HAIR);
    }
}

fn tallest(cells: &[Wrapped]) -> f32 {
    cells.iter().map(Wrapped::height).fold(0.0, f32::max)
}

/// A cell with its text wrapped.
struct Wrapped {
    lines: Vec<(Line, f32)>,
    boxed: bool,
}

impl Wrapped {
    fn of(cell: Cell, width: f32) -> Wrapped {
        let (parts, boxed) = match cell {
            Cell::Text(parts) => (parts, false),
            Cell::Box(known) => (vec![(known, SMALL)], true),
        };
        let parts = parts.into_iter().filter(|(letters, _)| !letters.is_empty());
        let lines = parts.flat_map(|(letters, size)| {
            let lines = letters.wrapped(width, size).into_iter();
            lines.map(move |line| (line, size))
        });
        Wrapped {
            lines: lines.collect(),
            boxed,
        }
    }

    fn height(&self) -> f32 {
        self.lines.iter().map(|(_, size)| size * LEADING).sum()
    }

    /// Splits off the lines that do not fit a height; one always fits.
    fn split_off(&mut self, room: f32) -> Wrapped {
        let mut height = 0.0;
        let fits = |(_, size): &&(Line, f32)| {
            height += size * LEADING;
            height <= room
        };
        let count = self.lines.iter().take_while(fits).count().max(1);
        let lines = self.lines.split_off(count.min(self.lines.len()));
        Wrapped {
            lines,
            boxed: false,
        }
    }

    fn draw(self, paper: &mut Paper, (x, top, width, height): Area) {
        if self.boxed {
            let inner = (x + 1.5, top + 2.0, width - 3.0, height - 4.0);
            paper.page().rect(inner, None, Some(Pen::new(0.6, 60)));
        }
        // Clear of the box's own line.
        let inside = if self.boxed { 1.5 } else { 0.0 };
        let mut y = top + CELL - 0.5 + inside;
        for (line, size) in self.lines {
            paper.page().line_of_text(x + CELL, y + size, size, 0, line);
            y += size * LEADING;
        }
    }
}
