//! Pages with what is drawn on them. Lengths are points of 1/72 in, from the top left corner.

use crate::text::{Letters, Line};

/// Points in an inch.
pub const POINTS_PER_IN: f32 = 72.0;
/// Points in a millimeter.
pub const POINTS_PER_MM: f32 = POINTS_PER_IN / 25.4;

/// A size of paper.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PaperSize {
    /// US Letter, 8.5 by 11 in.
    Letter,
    /// ISO A4, 210 by 297 mm.
    A4,
}

impl PaperSize {
    /// All sizes.
    pub const ALL: [PaperSize; 2] = [PaperSize::Letter, PaperSize::A4];

    /// Returns its name on the command line and in addresses.
    pub const fn word(self) -> &'static str {
        match self {
            PaperSize::Letter => "letter",
            PaperSize::A4 => "a4",
        }
    }

    /// Returns the size with a name.
    pub fn from_word(word: &str) -> Option<PaperSize> {
        PaperSize::ALL.into_iter().find(|size| size.word() == word)
    }

    /// Returns its width and height upright, points.
    pub const fn points(self) -> (f32, f32) {
        match self {
            PaperSize::Letter => (8.5 * POINTS_PER_IN, 11.0 * POINTS_PER_IN),
            PaperSize::A4 => (210.0 * POINTS_PER_MM, 297.0 * POINTS_PER_MM),
        }
    }
}

/// A gray: 0 black, 255 white.
pub type Gray = u8;

/// Something drawn on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A line of text, from the left end of its baseline.
    Text {
        /// Left end.
        x: f32,
        /// Baseline.
        y: f32,
        /// Size.
        size: f32,
        /// Its color.
        gray: Gray,
        /// The letters.
        line: Line,
    },
    /// A closed or open path.
    Path {
        /// Its points; a circle has cubic curves between them.
        path: Vec<Segment>,
        /// Inside.
        fill: Option<Gray>,
        /// Outline with its width.
        stroke: Option<(f32, Gray)>,
        /// Whether the outline is dashed.
        dashed: bool,
    },
    /// A JPEG picture.
    Picture {
        /// The file.
        jpeg: Vec<u8>,
        /// Left edge.
        x: f32,
        /// Top edge.
        y: f32,
        /// Width.
        width: f32,
        /// Height.
        height: f32,
    },
}

/// A part of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// Start.
    Move(f32, f32),
    /// A straight line to a point.
    To(f32, f32),
    /// A curve by two control points to a point.
    Curve(f32, f32, f32, f32, f32, f32),
    /// Back to the start.
    Close,
}

/// One page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    /// What is drawn, the lowest first.
    pub marks: Vec<Mark>,
}

/// How an outline is drawn.
#[derive(Debug, Clone, Copy)]
pub struct Pen {
    /// Width.
    pub width: f32,
    /// Color.
    pub gray: Gray,
    /// Whether it is dashed.
    pub dashed: bool,
}

impl Pen {
    /// A thin gray line between rows.
    pub const HAIR: Pen = Pen::new(0.4, 130);
    /// An ordinary black line.
    pub const LINE: Pen = Pen::new(0.7, 0);

    /// Returns a pen.
    pub const fn new(width: f32, gray: Gray) -> Pen {
        Pen {
            width,
            gray,
            dashed: false,
        }
    }
}

impl Page {
    /// Writes letters in one line from the left end of their baseline.
    pub fn text(&mut self, x: f32, y: f32, size: f32, letters: Letters) {
        self.line_of_text(x, y, size, 0, letters.line());
    }

    /// Writes letters that end at `x`.
    pub fn text_right(&mut self, x: f32, y: f32, size: f32, letters: Letters) {
        self.text(x - letters.width(size), y, size, letters);
    }

    /// Writes letters around `x`, in a gray.
    pub fn text_centered(&mut self, x: f32, y: f32, size: f32, gray: Gray, letters: Letters) {
        let left = x - letters.width(size) / 2.0;
        self.line_of_text(left, y, size, gray, letters.line());
    }

    /// Writes a wrapped line.
    pub fn line_of_text(&mut self, x: f32, y: f32, size: f32, gray: Gray, line: Line) {
        if !line.0.is_empty() {
            self.marks.push(Mark::Text {
                x,
                y,
                size,
                gray,
                line,
            });
        }
    }

    /// Draws a straight line.
    pub fn line(&mut self, from: (f32, f32), to: (f32, f32), pen: Pen) {
        let path = vec![Segment::Move(from.0, from.1), Segment::To(to.0, to.1)];
        self.path(path, None, Some(pen));
    }

    /// Draws a rectangle.
    pub fn rect(&mut self, (x, y, w, h): Area, fill: Option<Gray>, pen: Option<Pen>) {
        let path = vec![
            Segment::Move(x, y),
            Segment::To(x + w, y),
            Segment::To(x + w, y + h),
            Segment::To(x, y + h),
            Segment::Close,
        ];
        self.path(path, fill, pen);
    }

    /// Draws a circle.
    pub fn circle(
        &mut self,
        (x, y): (f32, f32),
        radius: f32,
        fill: Option<Gray>,
        pen: Option<Pen>,
    ) {
        // Control points of a quarter circle: within 0.03 % of the radius (4/3 tan(pi/8)).
        let (r, c) = (radius, radius * 0.552_284_8);
        let path = vec![
            Segment::Move(x + r, y),
            Segment::Curve(x + r, y + c, x + c, y + r, x, y + r),
            Segment::Curve(x - c, y + r, x - r, y + c, x - r, y),
            Segment::Curve(x - r, y - c, x - c, y - r, x, y - r),
            Segment::Curve(x + c, y - r, x + r, y - c, x + r, y),
            Segment::Close,
        ];
        self.path(path, fill, pen);
    }

    /// Draws a path.
    pub fn path(&mut self, path: Vec<Segment>, fill: Option<Gray>, pen: Option<Pen>) {
        self.marks.push(Mark::Path {
            path,
            fill,
            stroke: pen.map(|pen| (pen.width, pen.gray)),
            dashed: pen.is_some_and(|pen| pen.dashed),
        });
    }
}

/// Left, top, width, and height.
pub type Area = (f32, f32, f32, f32);
