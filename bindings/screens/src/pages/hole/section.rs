//! The section drawing of a hole, to scale: the faces, the hole and its damage, and what the remedy cuts and sets.

use super::Leaf;
use holebook_core::hole::remedies::Assessment;
use holebook_core::hole::section::{FromAbove, Kind, Outline, Section, from_above, section};
use holebook_core::hole::situation::Situation;
use holebook_core::length::{Length, Unit};
use maud::{Markup, html};

/// The drawing with its legend; a word where too little is known to draw.
pub fn drawing(leaf: &Leaf<'_>) -> Markup {
    let situation = leaf.plan.situation.as_ref().ok();
    let Some(situation) = situation.filter(|situation| situation.depth.is_some()) else {
        return html! { p.faint { "The section is drawn once the wanted thread and the depth are known." } };
    };
    let way = leaf.plan.leading();
    let drawn = section(situation, way);
    html! {
        figure.section {
            (draw(&drawn, &levels(situation, way, leaf.desk.unit), leaf.hole.number))
            figcaption {
                p.faint { "Through the intended centre, to scale. "
                    @if leaf.plan.chosen().is_some() { "With the chosen remedy." }
                    @else if way.is_some() { "With the first of the ways below." } }
                (legend(&drawn))
                @if let Some(above) = way.and_then(|way| from_above(situation, way)) { (seen_from_above(&above, leaf.desk.unit)) }
            }
        }
    }
}

/// The ring of thread where least of it is left, the picture's right at the right.
fn seen_from_above(above: &FromAbove, unit: Unit) -> Markup {
    let (drilled, major) = (above.drilled.mm() / 2.0, above.major.mm() / 2.0);
    let edge = major * 1.12;
    let frame = format!(
        "{:.3} {:.3} {:.3} {:.3}",
        -edge,
        -edge,
        2.0 * edge,
        2.0 * edge
    );
    let words = format!(
        "Seen from above, {} deep, where least is left: {:.0} % of the thread.",
        above.depth.show(unit),
        above.fraction * 100.0
    );
    let ring = format!("{}{}", circle(major), around(&above.metal_from_mm));
    html! {
        div.above {
            svg.section-drawing viewBox=(frame) role="img" aria-label=(words) {
                path.thread-left d=(ring) fill-rule="evenodd" {}
                path.hole d=(circle(major)) fill="none" {}
                path.drilled d=(circle(drilled)) {}
            }
            p.faint { (words) " The light part of the ring is missing." }
        }
    }
}

fn circle(radius: f64) -> String {
    format!(
        "M{radius:.3} 0A{radius:.3} {radius:.3} 0 1 0 {:.3} 0A{radius:.3} {radius:.3} 0 1 0 {radius:.3} 0Z",
        -radius
    )
}

/// The outline of radii by angle. In the drawing up is less.
fn around(radii: &[(f64, f64)]) -> String {
    let mut path = String::new();
    for (place, (deg, radius)) in radii.iter().enumerate() {
        let (sin, cos) = deg.to_radians().sin_cos();
        let pen = if place == 0 { 'M' } else { 'L' };
        path.push_str(&format!("{pen}{:.3} {:.3}", radius * cos, -radius * sin));
    }
    path.push('Z');
    path
}

/// A depth that is named beside the drawing.
struct Level {
    depth_mm: f64,
    words: String,
}

/// The depths worth naming, from the face down.
fn levels(situation: &Situation, way: Option<&Assessment>, unit: Unit) -> Vec<Level> {
    let depths = way.and_then(|way| way.depths.as_ref());
    let cut = situation.face_cut.filter(|cut| cut.is_positive());
    let named = [
        ("finished face", cut),
        ("insert's top", depths.and_then(|depths| depths.set_now)),
        (
            "full thread to",
            depths.and_then(|depths| depths.full_thread),
        ),
        ("drill to", depths.and_then(|depths| depths.drill)),
        ("hole's bottom", situation.depth),
        (
            "far side",
            situation
                .depth
                .zip(situation.floor)
                .map(|(depth, floor)| depth + floor),
        ),
    ];
    let mut levels = vec![Level {
        depth_mm: 0.0,
        words: "face of today".to_owned(),
    }];
    levels.extend(
        named
            .into_iter()
            .filter_map(|(name, depth): (&str, Option<Length>)| {
                let depth = depth?;
                Some(Level {
                    depth_mm: depth.mm(),
                    words: format!("{name} {}", depth.show(unit)),
                })
            }),
    );
    levels.sort_by(|one, other| one.depth_mm.total_cmp(&other.depth_mm));
    levels
}

/// Width of a letter over its height, for the plain lettering that browsers draw with; on the wide side.
const LETTER_WIDTH: f64 = 0.58;

fn draw(drawn: &Section, levels: &[Level], number: u32) -> Markup {
    // So large that it can be read where the drawing fills a phone's width.
    let letter = 2.0 * drawn.half_width_mm / 13.0;
    let longest = levels
        .iter()
        .map(|level| level.words.chars().count())
        .max()
        .unwrap_or(0);
    let sheet = Sheet {
        edge: drawn.half_width_mm,
        letter,
    };
    let width = 2.0 * sheet.edge + letter * (1.0 + LETTER_WIDTH * longest as f64);
    let (top, bottom) = (drawn.top_mm - letter, drawn.bottom_mm + letter);
    let frame = format!("{:.3} {top:.3} {width:.3} {:.3}", -sheet.edge, bottom - top);
    let words: Vec<&str> = levels.iter().map(|level| level.words.as_str()).collect();
    let label = format!(
        "Section through hole {number}, to scale: {}",
        words.join("; ")
    );
    html! {
        svg.section-drawing viewBox=(frame) role="img" aria-label=(label) {
            (patterns(letter))
            @for outline in &drawn.outlines { (shape(outline)) }
            path.axis d=(format!("M0 {top:.3}V{bottom:.3}")) {}
            (sheet.words(levels))
        }
    }
}

/// The paper the section is drawn on, in millimetres of the casting.
struct Sheet {
    /// Right edge of the metal.
    edge: f64,
    /// Height of the lettering.
    letter: f64,
}

impl Sheet {
    /// The words at the right, each led to its depth; they move down rather than lie over each other.
    fn words(&self, levels: &[Level]) -> Markup {
        let step = self.letter * 1.3;
        let mut free = f64::NEG_INFINITY;
        let placed: Vec<(&Level, f64)> = levels
            .iter()
            .map(|level| {
                let at = level.depth_mm.max(free);
                free = at + step;
                (level, at)
            })
            .collect();
        let (edge, knee) = (self.edge, self.edge + self.letter * 0.5);
        html! {
            @for (level, at) in placed {
                path.leader d=(format!("M{edge:.3} {:.3}L{knee:.3} {at:.3}", level.depth_mm)) {}
                text x=(format!("{:.3}", knee + self.letter * 0.15)) y=(format!("{:.3}", at + self.letter * 0.32))
                    font-size=(format!("{:.3}", self.letter)) { (level.words) }
            }
        }
    }
}

/// Hatching, so that the parts are told apart without colour. Cast iron is hatched at 45 degrees, as drawings do.
fn patterns(letter: f64) -> Markup {
    let pattern = |id: &str, pitch: f64, turn: u32, class: &str| {
        let size = format!("{pitch:.3}");
        html! {
            pattern id=(id) width=(size) height=(size) patternUnits="userSpaceOnUse" patternTransform=(format!("rotate({turn})")) {
                path class=(class) d=(format!("M0 0V{size}")) stroke-width=(format!("{:.3}", pitch * 0.16)) {}
            }
        }
    };
    html! {
        defs {
            (pattern("hatch-iron", letter * 0.55, 45, "hatch"))
            (pattern("hatch-damage", letter * 0.32, 135, "hatch-strong"))
            (pattern("hatch-hard", letter * 0.22, 0, "hatch-strong"))
            (pattern("hatch-insert", letter * 0.28, 90, "hatch-blue"))
        }
    }
}

fn shape(outline: &Outline) -> Markup {
    let mut path = String::new();
    for (place, point) in outline.points.iter().enumerate() {
        path.push_str(&format!(
            "{}{:.3} {:.3}",
            if place == 0 { 'M' } else { 'L' },
            point.x_mm,
            point.depth_mm
        ));
    }
    if outline.closed {
        path.push('Z');
    }
    let class = class(outline.kind);
    html! {
        @if let Some(hatch) = hatch(outline.kind) {
            path class=(format!("{class} ground")) d=(path) {}
            path class=(class) d=(path) fill=(hatch) {}
        } @else { path class=(class) d=(path) {} }
    }
}

fn class(kind: Kind) -> &'static str {
    match kind {
        Kind::Metal => "metal",
        Kind::FaceCut => "face-cut",
        Kind::Hole => "hole",
        Kind::Damage => "damage",
        Kind::Hard => "hard",
        Kind::BrokenPiece => "piece",
        Kind::Drilled => "drilled",
        Kind::Thread => "thread-left",
        Kind::Insert => "insert",
        Kind::FaceToday => "face-today",
        Kind::FinishedFace => "finished-face",
        Kind::FarSide => "far-side",
    }
}

fn hatch(kind: Kind) -> Option<&'static str> {
    Some(match kind {
        Kind::Metal => "url(#hatch-iron)",
        Kind::Damage => "url(#hatch-damage)",
        Kind::Hard | Kind::BrokenPiece => "url(#hatch-hard)",
        Kind::Insert => "url(#hatch-insert)",
        _ => return None,
    })
}

/// What each kind of hatching stands for, of those in the drawing.
fn legend(drawn: &Section) -> Markup {
    let kinds = [
        (Kind::Metal, "iron"),
        (Kind::Damage, "missing metal"),
        (Kind::Hard, "hard metal"),
        (Kind::BrokenPiece, "broken piece"),
        (Kind::Drilled, "to be drilled"),
        (Kind::Thread, "thread that is left to cut"),
        (Kind::Insert, "insert or plug"),
        (Kind::FaceCut, "face cut to come"),
    ];
    html! {
        ul.legend {
            @for (kind, words) in kinds {
                @if let Some(outline) = drawn.outlines.iter().find(|outline| outline.kind == kind && outline.closed) {
                    li { (swatch(outline.kind)) (words) }
                }
            }
        }
    }
}

fn swatch(kind: Kind) -> Markup {
    let class = class(kind);
    html! {
        svg viewBox="0 0 8 5" aria-hidden="true" focusable="false" {
            @if let Some(hatch) = hatch(kind) {
                rect class=(format!("{class} ground")) width="8" height="5" {}
                rect class=(class) width="8" height="5" fill=(hatch) {}
            } @else { rect class=(class) width="8" height="5" {} }
        }
    }
}
