//! Damage as it is found from a face that was milled after it was described.

use super::{Damage, HardZone, Lean, MAX_DEPTH, Span, Station};
use crate::length::Length;

impl Damage {
    /// Returns the damage with its depths from a face that is lower by `removed`. What was in the
    /// metal removed is gone.
    pub(in crate::hole) fn after_milling(&self, removed: Length) -> Damage {
        if !removed.is_positive() {
            return self.clone();
        }
        let stations = self.stations.iter();
        let hard = self.hard.iter();
        Damage {
            stations: stations
                .filter_map(|station| station.after_milling(removed))
                .collect(),
            hard: hard
                .filter_map(|zone| zone.after_milling(removed))
                .collect(),
            broken_tool: self.broken_tool.clone().map(|mut tool| {
                tool.top = tool.top.map(|top| top - removed);
                tool
            }),
            lean: self.lean.as_ref().map(|lean| lean.after_milling(removed)),
            ..self.clone()
        }
    }
}

impl Span {
    fn after_milling(self, removed: Length) -> Span {
        Span {
            from: (self.from - removed).clamp_at_zero(),
            to: (self.to - removed).clamp_at_zero(),
        }
    }
}

impl Station {
    fn after_milling(&self, removed: Length) -> Option<Station> {
        let below = Span {
            from: removed,
            to: MAX_DEPTH,
        };
        let left = self.clipped_to(below)?;
        Some(Station {
            span: left.span.after_milling(removed),
            ..left
        })
    }
}

impl HardZone {
    /// A zone of which only the tolerance reaches below the face stays, as read to its worst case.
    fn after_milling(self, removed: Length) -> Option<HardZone> {
        let span = self.span.after_milling(removed);
        if span.length().is_positive() {
            return Some(HardZone { span, ..self });
        }
        let reach = self.reach().after_milling(removed);
        reach.length().is_positive().then(|| reach.into())
    }
}

impl Lean {
    fn after_milling(&self, removed: Length) -> Lean {
        let (x, y) = self.center_mm(removed);
        Lean {
            offset: Length::from_computed_mm(x.hypot(y)),
            offset_direction_deg: y.atan2(x).to_degrees(),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use crate::hole::damage::{BrokenTool, Damage, HardZone, Lean, Tilt};
    use crate::hole::testing::{changing, damage, mm, span, station};
    use crate::length::Length;
    use proptest::prelude::*;

    #[test]
    fn what_was_milled_away_is_gone_and_the_rest_moves_up() {
        let crater = damage(vec![
            station(0.0, 0.4, 20.0, 0.0, 0.0),
            station(0.0, 9.0, 13.0, 1.2, 0.0),
        ]);
        let described = Damage {
            hard: vec![
                HardZone::from(span(0.0, 0.4)),
                HardZone::from(span(2.0, 4.0)),
            ],
            broken_tool: Some(BrokenTool {
                what: "tap".into(),
                length: None,
                top: Some(mm(3.0)),
            }),
            ..crater
        };
        let left = described.after_milling(mm(0.5));
        assert_eq!(left.stations, [station(0.0, 8.5, 13.0, 1.2, 0.0)]);
        assert_eq!(left.hard, [HardZone::from(span(1.5, 3.5))]);
        assert_eq!(left.broken_tool.unwrap().top, Some(mm(2.5)));
    }

    #[test]
    fn a_hard_zone_within_its_tolerance_of_the_new_face_stays() {
        let mut described = Damage::default();
        let mut zone = HardZone::from(span(0.0, 0.5));
        zone.tolerance = Some(mm(0.3));
        described.hard.push(zone);
        let left = described.after_milling(mm(0.6));
        assert_eq!(left.hard[0].reach(), span(0.0, 0.2));
        assert!(described.after_milling(mm(0.9)).hard.is_empty());
    }

    proptest! {
        /// The same metal is missing at the same place, whichever face its depth is given from.
        #[test]
        fn a_circle_stays_where_it_is(
            removed in 0.0..6.0, from in 0.0..5.0, length in 0.5..20.0, depth in 0.0..20.0,
            sizes in (4.0..20.0, 4.0..20.0), offset in 0.0..3.0, tilt in 0.0..8.0,
        ) {
            let tapering = changing(station(from, from + length, sizes.0, offset, 30.0), sizes.1, 1.0, 200.0);
            let lean = Lean {
                tilt: Tilt::Degrees(tilt),
                direction_deg: 75.0,
                offset: mm(offset),
                offset_direction_deg: 10.0,
                diameter: None,
            };
            let described = Damage { lean: Some(lean.clone()), ..damage(vec![tapering.clone()]) };
            let left = described.after_milling(mm(removed));
            let (here, before) = (mm(depth), mm(depth) + mm(removed));
            let found = left.stations.iter().find(|station| station.span.contains(here));
            prop_assert_eq!(found.is_some(), tapering.span.contains(before));
            let near = Length::from_nm(100);
            if let Some(found) = found {
                let (is, was) = (found.at(here), tapering.at(before));
                prop_assert!((is.diameter - was.diameter).abs() <= near);
                prop_assert!((is.offset - was.offset).abs() <= near);
            }
            let moved = left.lean.unwrap().offset_at(here) - lean.offset_at(before);
            prop_assert!(moved.abs() <= near);
        }
    }
}
