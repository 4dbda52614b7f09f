//! The drawing of a hole as found, to scale: in section and from above. What the remedy cuts and adds
//! is an overlay that can be switched off, without a script.

use super::HolePage;
use holebook_core::hole::damage::Station;
use holebook_core::hole::plan::Plan;
use holebook_core::hole::remedies::Assessment;
use holebook_core::hole::section::{FromAbove, Outline, OutlineKind, Section, from_above, section};
use holebook_core::hole::situation::Situation;
use holebook_core::hole::steps::ReachedDepths;
use holebook_core::length::{Rounding, Unit};
use maud::{Markup, html};

/// The drawing with its legend, or what is missing to draw it.
pub fn drawing(page: &HolePage<'_>) -> Markup {
    let situation = page.plan.situation.as_ref().ok();
    let Some(situation) = situation.filter(|situation| situation.depth.is_some()) else {
        return html! { p.faint { "The section is drawn once the thread and the hole depth are known." } };
    };
    let leading = page
        .plan
        .leading()
        .map(|planned| as_reached(planned, &page.plan));
    let assessment = leading.as_ref();
    let drawn = section(situation, assessment);
    html! {
        @if assessment.is_some() {
            label.choice.proposal-switch {
                input #show-proposal type="checkbox" checked autocomplete="off";
                span { "Show what the remedy cuts" }
            }
        }
        figure.drawing {
            (draw(&drawn, &levels(situation, assessment, page.context.unit), page.hole.number))
            figcaption {
                p.faint { "Section through the intended center, to scale. "
                    @if page.plan.reached != ReachedDepths::default() { "Chosen remedy, with the depths that were recorded." }
                    @else if page.plan.chosen().is_some() { "Chosen remedy." }
                    @else if assessment.is_some() { "First remedy in the list." } }
                (legend(&drawn))
                (face_from_above(situation, assessment))
                @if let Some(above) = assessment.and_then(|assessment| from_above(situation, assessment)) { (seen_from_above(&above, page.context.unit)) }
            }
        }
    }
}

/// The remedy as it was done: recorded depths in place of the planned ones.
fn as_reached(planned: &Assessment, plan: &Plan) -> Assessment {
    let mut drawn = planned.clone();
    if let Some(depths) = drawn.depths.as_mut() {
        let reached = plan.reached;
        depths.drill = reached.drilled.or(depths.drill);
        depths.full_thread = reached.tapped.or(depths.full_thread);
        depths.install_now = reached.top.or(depths.install_now);
    }
    drawn
}

/// The ring of thread at the depth where least is left, oriented as the photo.
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
    let text = format!(
        "From above at {} deep, where least thread is left: {:.0}%.",
        above.depth.rounded(unit, Rounding::Nearest),
        above.fraction * 100.0
    );
    let ring = format!("{}{}", circle(major), around(&above.metal_from_mm));
    html! {
        div.top-view.proposal {
            svg.section-drawing viewBox=(frame) role="img" aria-label=(text) {
                path.thread-left d=(ring) fill-rule="evenodd" {}
                path.hole d=(circle(major)) fill="none" {}
                path.drilled d=(circle(drilled)) {}
            }
            p.faint { (text) " The light part of the ring is missing." }
        }
    }
}

/// The face from above as the hole was found: where the bolt is to go, missing metal, hard metal and a
/// broken piece; nothing for a sound hole.
fn face_from_above(situation: &Situation, assessment: Option<&Assessment>) -> Markup {
    let damage = &situation.damage;
    if damage.stations.is_empty() && damage.hard.is_empty() && damage.broken_tool.is_none() {
        return html! {};
    }
    let bolt = situation.thread.nominal().mm() / 2.0;
    let circles: Vec<(f64, f64, f64)> = damage.stations.iter().map(circle_at_the_top).collect();
    let outside = assessment
        .and_then(|one| one.insert.as_ref())
        .map(|insert| insert.outside.major.mm() / 2.0);
    let reach = |(x, y, radius): &(f64, f64, f64)| x.hypot(*y) + radius;
    let widest = circles.iter().map(reach).fold(bolt * 1.5, f64::max);
    let edge = outside.map_or(widest, |outside| widest.max(outside)) * 1.15;
    let frame = format!(
        "{:.3} {:.3} {:.3} {:.3}",
        -edge,
        -edge,
        2.0 * edge,
        2.0 * edge
    );
    let text = "From above as found. The dashed circle is the bolt where it should be.";
    html! {
        div.top-view {
            svg.section-drawing viewBox=(frame) role="img" aria-label=(text) {
                @if !damage.hard.is_empty() { path.hard-metal fill="url(#hatch-hard)" d=(circle(bolt * 1.5)) {} }
                @for (x, y, radius) in &circles {
                    circle.damage.backing cx=(format!("{x:.3}")) cy=(format!("{y:.3}")) r=(format!("{radius:.3}")) {}
                    circle.damage fill="url(#hatch-damage)" cx=(format!("{x:.3}")) cy=(format!("{y:.3}")) r=(format!("{radius:.3}")) {}
                }
                @if damage.broken_tool.is_some() { path.broken-piece fill="url(#hatch-hard)" d=(circle(bolt * 0.85)) {} }
                path.hole d=(circle(bolt)) {}
                path.axis d=(format!("M{:.3} 0H{edge:.3}M0 {:.3}V{edge:.3}", -edge, -edge)) {}
                @if let Some(outside) = outside { path.drilled.outline.proposal d=(circle(outside)) {} }
            }
            p.faint { (text) }
        }
    }
}

/// The circle of missing metal at its upper end: center and radius. In the drawing, up is negative.
fn circle_at_the_top(station: &Station) -> (f64, f64, f64) {
    let (sin, cos) = station.direction_deg.to_radians().sin_cos();
    let offset = station.offset.mm();
    (offset * cos, -offset * sin, station.diameter.mm() / 2.0)
}

fn circle(radius: f64) -> String {
    format!(
        "M{radius:.3} 0A{radius:.3} {radius:.3} 0 1 0 {:.3} 0A{radius:.3} {radius:.3} 0 1 0 {radius:.3} 0Z",
        -radius
    )
}

/// The outline of radii by angle. In the drawing, up is negative.
fn around(radii: &[(f64, f64)]) -> String {
    let mut path = String::new();
    for (index, (deg, radius)) in radii.iter().enumerate() {
        let (sin, cos) = deg.to_radians().sin_cos();
        let command = if index == 0 { 'M' } else { 'L' };
        path.push_str(&format!(
            "{command}{:.3} {:.3}",
            radius * cos,
            -radius * sin
        ));
    }
    path.push('Z');
    path
}

/// A depth that is labeled beside the drawing.
struct Level {
    depth_mm: f64,
    label: String,
    /// Whether it belongs to the remedy.
    proposed: bool,
}

/// The depths to label, from the face down.
fn levels(situation: &Situation, assessment: Option<&Assessment>, unit: Unit) -> Vec<Level> {
    let depths = assessment.and_then(|assessment| assessment.depths.as_ref());
    let cut = situation.face_cut.filter(|cut| cut.is_positive());
    let levels = [
        ("finished face", cut, Rounding::Nearest, false),
        (
            "top of insert",
            depths.and_then(|depths| depths.install_now),
            Rounding::Nearest,
            true,
        ),
        (
            "full thread to",
            depths.and_then(|depths| depths.full_thread),
            Rounding::Up,
            true,
        ),
        (
            "drill to",
            depths.and_then(|depths| depths.drill),
            Rounding::Up,
            true,
        ),
        ("bottom of hole", situation.depth, Rounding::Nearest, false),
        (
            "far side",
            situation
                .depth
                .zip(situation.floor)
                .map(|(depth, floor)| depth + floor),
            Rounding::Nearest,
            false,
        ),
    ];
    let as_is = Level {
        depth_mm: 0.0,
        label: "face as is".to_owned(),
        proposed: false,
    };
    let below = levels
        .into_iter()
        .filter_map(|(name, depth, rounding, proposed)| {
            let depth = depth?;
            Some(Level {
                depth_mm: depth.mm(),
                label: format!("{name} {}", depth.rounded(unit, rounding)),
                proposed,
            })
        });
    let mut levels: Vec<Level> = std::iter::once(as_is).chain(below).collect();
    levels.sort_by(|one, other| one.depth_mm.total_cmp(&other.depth_mm));
    levels
}

/// Width of a letter over its height in the fonts of browsers, on the wide side.
const LETTER_WIDTH: f64 = 0.58;

fn draw(drawn: &Section, levels: &[Level], number: u32) -> Markup {
    // Large enough to read where the drawing fills a phone's width.
    let letter = 2.0 * drawn.half_width_mm / 13.0;
    let longest = levels
        .iter()
        .map(|level| level.label.chars().count())
        .max()
        .unwrap_or(0);
    let sheet = Sheet {
        edge: drawn.half_width_mm,
        letter,
    };
    let width = 2.0 * sheet.edge + letter * (1.0 + LETTER_WIDTH * longest as f64);
    let (top, bottom) = (drawn.top_mm - letter, drawn.bottom_mm + letter);
    let frame = format!("{:.3} {top:.3} {width:.3} {:.3}", -sheet.edge, bottom - top);
    let labels: Vec<&str> = levels.iter().map(|level| level.label.as_str()).collect();
    let label = format!(
        "Section through hole {number}, to scale: {}",
        labels.join("; ")
    );
    html! {
        svg.section-drawing viewBox=(frame) role="img" aria-label=(label) {
            (patterns(letter))
            @for outline in &drawn.outlines { @if !is_proposed(outline.kind) { (shape(outline)) } }
            g.proposal { @for outline in &drawn.outlines { @if is_proposed(outline.kind) { (shape(outline)) } } }
            path.axis d=(format!("M0 {top:.3}V{bottom:.3}")) {}
            (sheet.labels(levels))
        }
    }
}

/// The frame of the drawing, in millimeters of the casting.
struct Sheet {
    /// Right edge of the metal.
    edge: f64,
    /// Height of the lettering.
    letter: f64,
}

impl Sheet {
    /// The labels at the right with lines to their depths; moved down where they would overlap.
    fn labels(&self, levels: &[Level]) -> Markup {
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
                path.leader.proposal[level.proposed] d=(format!("M{edge:.3} {:.3}L{knee:.3} {at:.3}", level.depth_mm)) {}
                text.proposal[level.proposed] x=(format!("{:.3}", knee + self.letter * 0.15)) y=(format!("{:.3}", at + self.letter * 0.32))
                    font-size=(format!("{:.3}", self.letter)) { (level.label) }
            }
        }
    }
}

/// Hatching that tells the parts apart without color; cast iron at 45 degrees, as on drawings.
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
            (pattern("hatch-insert", letter * 0.28, 90, "hatch-accent"))
        }
    }
}

fn shape(outline: &Outline) -> Markup {
    let mut path = String::new();
    for (index, point) in outline.points.iter().enumerate() {
        path.push_str(&format!(
            "{}{:.3} {:.3}",
            if index == 0 { 'M' } else { 'L' },
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
            path class=(format!("{class} backing")) d=(path) {}
            path class=(class) d=(path) fill=(hatch) {}
        } @else { path class=(class) d=(path) {} }
    }
}

fn class(kind: OutlineKind) -> &'static str {
    match kind {
        OutlineKind::Metal => "metal",
        OutlineKind::FaceCut => "face-cut",
        OutlineKind::Hole => "hole",
        OutlineKind::Damage => "damage",
        OutlineKind::Hard => "hard-metal",
        OutlineKind::BrokenPiece => "broken-piece",
        OutlineKind::Drilled => "drilled",
        OutlineKind::Thread => "thread-left",
        OutlineKind::Insert => "insert",
        OutlineKind::FaceAsIs => "face-as-is",
        OutlineKind::FinishedFace => "finished-face",
        OutlineKind::FarSide => "far-side",
    }
}

/// Whether an outline belongs to the remedy, not to the hole as found.
const fn is_proposed(kind: OutlineKind) -> bool {
    matches!(
        kind,
        OutlineKind::Drilled | OutlineKind::Thread | OutlineKind::Insert
    )
}

fn hatch(kind: OutlineKind) -> Option<&'static str> {
    Some(match kind {
        OutlineKind::Metal => "url(#hatch-iron)",
        OutlineKind::Damage => "url(#hatch-damage)",
        OutlineKind::Hard | OutlineKind::BrokenPiece => "url(#hatch-hard)",
        OutlineKind::Insert => "url(#hatch-insert)",
        _ => return None,
    })
}

/// The legend of the kinds in the drawing.
fn legend(drawn: &Section) -> Markup {
    let kinds = [
        (OutlineKind::Metal, "iron"),
        (OutlineKind::Damage, "missing metal"),
        (OutlineKind::Hard, "hard metal"),
        (OutlineKind::BrokenPiece, "broken piece"),
        (OutlineKind::Drilled, "to be drilled"),
        (OutlineKind::Thread, "thread left to cut"),
        (OutlineKind::Insert, "insert or plug"),
        (OutlineKind::FaceCut, "stock to remove"),
    ];
    html! {
        ul.legend {
            @for (kind, label) in kinds {
                @if let Some(outline) = drawn.outlines.iter().find(|outline| outline.kind == kind && outline.closed) {
                    li { (swatch(outline.kind)) (label) }
                }
            }
        }
    }
}

fn swatch(kind: OutlineKind) -> Markup {
    let class = class(kind);
    html! {
        svg viewBox="0 0 8 5" aria-hidden="true" focusable="false" {
            @if let Some(hatch) = hatch(kind) {
                rect class=(format!("{class} backing")) width="8" height="5" {}
                rect class=(class) width="8" height="5" fill=(hatch) {}
            } @else { rect class=(class) width="8" height="5" {} }
        }
    }
}
