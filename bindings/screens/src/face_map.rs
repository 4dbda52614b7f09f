//! A face seen from above, to scale, with something at each place.

use crate::contour::Contour;
use maud::{Markup, html};

/// What is drawn at a place.
pub struct Spot {
    /// To the right, mm.
    pub x_mm: f64,
    /// Up, mm.
    pub y_mm: f64,
    /// What it is, as a shape.
    pub shape: Shape,
    /// The text beside it.
    pub label: String,
}

/// A shape that tells the kind of spot without color.
#[derive(Clone, Copy)]
pub enum Shape {
    /// A circle with a cross: a place that is as it should be.
    Center,
    /// A dashed circle with a cross: a predicted place where nothing was found.
    Lost,
    /// A cross in a square, with a line from where it belongs, in mm.
    Wandered {
        /// Where it belongs, to the right.
        from_x_mm: f64,
        /// Where it belongs, up.
        from_y_mm: f64,
    },
    /// A triangle pointing up: the highest.
    High,
    /// A triangle pointing down: the lowest.
    Low,
    /// A dot.
    Dot,
}

/// The size of the drawing along its longer side, in its own units.
const SIDE: f64 = 1_000.0;
/// Room for signs and labels around it.
const MARGIN: f64 = 60.0;
/// Room for a label to the right.
const LABEL: f64 = 120.0;
/// The radius of a sign.
const SIGN: f64 = 26.0;

/// Where places come to lie in the drawing.
struct View {
    left_mm: f64,
    top_mm: f64,
    scale: f64,
    width: f64,
    height: f64,
}

impl View {
    fn of(spots: &[Spot]) -> Self {
        let range = |of: fn(&Spot) -> f64| {
            let all = spots.iter().map(of);
            all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), mm| {
                (low.min(mm), high.max(mm))
            })
        };
        let ((left, right), (bottom, top)) = (range(|spot| spot.x_mm), range(|spot| spot.y_mm));
        let (wide, high) = ((right - left).max(0.0), (top - bottom).max(0.0));
        let scale = SIDE / wide.max(high).max(1e-3);
        Self {
            left_mm: left,
            top_mm: top,
            scale,
            width: wide * scale + 2.0 * MARGIN + LABEL,
            height: high * scale + 2.0 * MARGIN,
        }
    }

    /// In the drawing, up is negative.
    fn at(&self, x_mm: f64, y_mm: f64) -> (f64, f64) {
        (
            MARGIN + (x_mm - self.left_mm) * self.scale,
            MARGIN + (self.top_mm - y_mm) * self.scale,
        )
    }
}

/// Draws the spots; `about` says what the picture shows.
pub fn draw(spots: &[Spot], about: &str) -> Markup {
    draw_over(&[], spots, about)
}

/// Draws lines and the spots over them.
pub fn draw_over(lines: &[Contour], spots: &[Spot], about: &str) -> Markup {
    if spots.is_empty() {
        return html! {};
    }
    let view = View::of(spots);
    let frame = format!("0 0 {:.0} {:.0}", view.width, view.height);
    html! {
        figure.drawing {
            svg.face-map viewBox=(frame) role="img" aria-label=(about) {
                @for line in lines { path.contour d=(contour_path(&view, line)) {} }
                @for spot in spots { (sign(&view, spot)) }
            }
            figcaption { p.faint { (about) } }
        }
    }
}

fn contour_path(view: &View, contour: &Contour) -> String {
    let pieces = contour.pieces.iter().map(|(from, to)| {
        let ((x1, y1), (x2, y2)) = (view.at(from.0, from.1), view.at(to.0, to.1));
        format!("M{x1:.1} {y1:.1}L{x2:.1} {y2:.1}")
    });
    pieces.collect()
}

fn sign(view: &View, spot: &Spot) -> Markup {
    let (x, y) = view.at(spot.x_mm, spot.y_mm);
    let circle = || {
        format!(
            "M{:.1} {y:.1}a{SIGN} {SIGN} 0 1 0 {} 0a{SIGN} {SIGN} 0 1 0 {} 0Z{}",
            x - SIGN,
            2.0 * SIGN,
            -2.0 * SIGN,
            cross(x, y)
        )
    };
    html! {
        @match spot.shape {
            Shape::Center => { path d=(circle()) {} }
            Shape::Lost => { path.lost d=(circle()) {} }
            Shape::Wandered { from_x_mm, from_y_mm } => {
                @let (fx, fy) = view.at(from_x_mm, from_y_mm);
                path.lost d=(format!("M{fx:.1} {fy:.1}L{x:.1} {y:.1}")) {}
                path.wandered d=(format!("M{:.1} {:.1}h{s}v{s}h-{s}Z{}", x - SIGN, y - SIGN, cross(x, y), s = 2.0 * SIGN)) {}
            }
            Shape::High => { path.spot d=(format!("M{:.1} {:.1}h{}L{x:.1} {:.1}Z", x - SIGN, y + SIGN, 2.0 * SIGN, y - SIGN)) {} }
            Shape::Low => { path.spot d=(format!("M{:.1} {:.1}h{}L{x:.1} {:.1}Z", x - SIGN, y - SIGN, 2.0 * SIGN, y + SIGN)) {} }
            Shape::Dot => { path.spot d=(format!("M{:.1} {y:.1}a8 8 0 1 0 16 0a8 8 0 1 0 -16 0Z", x - 8.0)) {} }
        }
        text x=(format!("{:.1}", x + 1.4 * SIGN)) y=(format!("{:.1}", y - SIGN)) { (spot.label) }
    }
}

fn cross(x: f64, y: f64) -> String {
    format!(
        "M{:.1} {y:.1}h{}M{x:.1} {:.1}v{}",
        x - SIGN,
        2.0 * SIGN,
        y - SIGN,
        2.0 * SIGN
    )
}
