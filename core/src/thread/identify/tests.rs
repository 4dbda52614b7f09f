#![allow(clippy::unwrap_used)]

use super::*;
use crate::length::Length;
use proptest::prelude::*;

fn outside(mm: f64, pitch: Option<&str>) -> Identification {
    let pitch = pitch.map(|p| parse_pitch(p).unwrap());
    let measured = Measured::Outside(Length::from_mm(mm).unwrap());
    identify(&Readings::new(measured, pitch)).unwrap()
}

fn only_match(found: &Identification) -> Option<String> {
    match &found.conclusion {
        Conclusion::OnlyMatch { thread } => Some(thread.designation()),
        _ => None,
    }
}

fn several(found: &Identification) -> (Vec<String>, String) {
    match &found.conclusion {
        Conclusion::SeveralMatch {
            threads,
            deciding_checks: tells,
        } => (
            threads.iter().map(|t| t.designation()).collect(),
            tells.join("\n"),
        ),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_caliper_and_a_pitch_gauge() {
    let found = outside(11.05, Some("14tpi"));
    assert_eq!(found.candidates[0].designation, "7/16-14 UNC");
    assert!(found.candidates[0].within_limits);
    assert_eq!(found.candidates[0].misfit_mm, 0.0);
    assert_eq!(
        only_match(&outside(9.85, Some("1.5mm"))).unwrap(),
        "M10x1.5"
    );
    let found = outside(9.45, Some("16 tpi"));
    assert_eq!(found.candidates[0].designation, "3/8-16 UNC");
}

#[test]
fn threads_that_match_equally_are_listed_with_the_deciding_check() {
    let (threads, tells) = several(&outside(9.45, Some("16tpi")));
    assert_eq!(threads, ["3/8-16 UNC", "3/8-16 BSW"]);
    assert!(
        tells.contains("flank angle") && tells.contains("55"),
        "{tells}"
    );
    // With a pitch tolerance of a whole thread, half inch coarse could be either.
    let pitch = PitchReading {
        tolerance: Length::from_nm(200_000),
        ..parse_pitch("2.0mm").unwrap()
    };
    let measured = Measured::Outside(Length::from_mm(12.6).unwrap());
    let (threads, tells) = several(&identify(&Readings::new(measured, Some(pitch))).unwrap());
    assert!(threads.contains(&"1/2-13 UNC".to_owned()), "{threads:?}");
    assert!(threads.contains(&"1/2-12 BSW".to_owned()), "{threads:?}");
    assert!(
        tells.contains("over 5 pitches") && tells.contains("6 crests"),
        "{tells}"
    );
}

#[test]
fn known_look_alikes_are_found_by_size() {
    let alike = |a: &str, b: &str| {
        let (a, b) = (Thread::parse(a).unwrap(), Thread::parse(b).unwrap());
        assert!(look_alikes(a).contains(&b), "{a}: {:?}", look_alikes(a));
        assert!(look_alikes(b).contains(&a), "{b}: {:?}", look_alikes(b));
        assert!(tell_apart(a, b).is_some());
    };
    alike("1/2-13", "1/2-12 BSW");
    alike("M10", "3/8-16");
    alike("M8", "5/16-18");
    alike("M12", "1/2-13");
    alike("3/8-16", "3/8-16 BSW");
    alike("G 1/2", "1/2 NPT");
    let none = look_alikes(Thread::parse("M5").unwrap());
    assert!(!none.contains(&Thread::parse("1/2-13").unwrap()));
}

#[test]
fn a_pipe_thread_is_identified_by_its_measured_diameter() {
    let found = outside(20.9, Some("14tpi"));
    let pipe = found
        .candidates
        .iter()
        .find(|c| c.designation == "G 1/2")
        .unwrap();
    assert_eq!(pipe.match_level, MatchLevel::Possible);
    assert!(
        pipe.note.as_ref().unwrap().contains("20.96 mm"),
        "{:?}",
        pipe.note
    );
    let (_, tells) = several(&found);
    assert!(tells.contains("taper"), "{tells}");
}

#[test]
fn a_caliper_alone_cannot_tell_and_says_so() {
    let found = outside(9.45, None);
    let has = |name: &str| found.candidates.iter().any(|c| c.designation == name);
    assert!(has("3/8-16 UNC") && has("3/8-24 UNF") && has("3/8-16 BSW"));
    let notes = found.candidates.iter().map(|c| c.note.as_ref().unwrap());
    assert!(notes.clone().all(|n| n.contains("No pitch")));
    assert!(found.candidates.iter().all(|c| c.pitch_misfit_mm.is_none()));
    assert!(several(&found).1.contains("eleven crests"));
}

#[test]
fn every_thread_matches_its_own_middle_sizes() {
    for thread in standard_threads() {
        let screw = thread.usual_external();
        let hole = thread.usual_internal();
        let pitch = PitchReading {
            pitch: Length::from_mm(thread.pitch_mm()).unwrap(),
            tolerance: PITCH_GAUGE_TOLERANCE,
        };
        for measured in [
            Measured::Outside((screw.major_min + screw.major_max) / 2),
            Measured::Inside((hole.minor_min + hole.minor_max) / 2),
        ] {
            let found = identify(&Readings::new(measured, Some(pitch))).unwrap();
            let mine = found.candidates.iter().find(|c| c.thread == thread);
            assert!(
                mine.is_some_and(|c| c.within_limits && c.match_level != MatchLevel::Unlikely),
                "{thread} {measured:?}"
            );
        }
    }
}

#[test]
fn wear_is_allowed_for_on_one_side_only() {
    let worn = outside(9.1, Some("16tpi"));
    assert_eq!(worn.candidates[0].designation, "3/8-16 UNC");
    assert!(!worn.candidates[0].within_limits);
    assert_ne!(worn.candidates[0].match_level, MatchLevel::Unlikely);
    assert!(worn.candidates[0].note.as_ref().unwrap().contains("Worn"));
    // As much too large is no wear.
    let fat = outside(9.49 + (9.253 - 9.1), Some("16tpi"));
    assert_eq!(fat.candidates[0].match_level, MatchLevel::Unlikely);
    assert!(matches!(fat.conclusion, Conclusion::NoMatch { .. }));
    let hole = |mm: f64| {
        let measured = Measured::Inside(Length::from_mm(mm).unwrap());
        identify(&Readings::new(
            measured,
            Some(parse_pitch("16tpi").unwrap()),
        ))
        .unwrap()
    };
    // 3/8-16 UNC-2B: .307 to .321 in, 7.80 to 8.15 mm.
    assert_eq!(hole(8.3).candidates[0].designation, "3/8-16 UNC");
    assert_ne!(hole(8.3).candidates[0].match_level, MatchLevel::Unlikely);
    assert!(
        hole(7.3)
            .candidates
            .iter()
            .all(|c| c.match_level == MatchLevel::Unlikely)
    );
}

#[test]
fn a_pitch_over_several_threads_is_more_precise() {
    let ten = parse_pitch("18.1mm/10").unwrap();
    assert_eq!((ten.pitch.nm(), ten.tolerance.nm()), (1_810_000, 25_000));
    assert_eq!(parse_pitch(".72in/10").unwrap().pitch.nm(), 1_828_800);
    assert_eq!(parse_pitch("4 1/2 tpi").unwrap().pitch.nm(), 5_644_444);
    assert_eq!(parse_pitch("14 tpi").unwrap().pitch.nm(), 1_814_286);
    // M8 against 5/16-20 UN: 25 against 25.4 mm over twenty pitches, which ten do not tell.
    assert_eq!(only_match(&outside(7.85, Some("12.5mm/10"))), None);
    assert_eq!(
        only_match(&outside(7.85, Some("25mm/20"))).unwrap(),
        "M8x1.25"
    );
}

#[test]
fn readings_out_of_range_are_refused() {
    for nm in [0, -5, 600_000_000] {
        let measured = Measured::Inside(Length::from_nm(nm));
        assert!(identify(&Readings::new(measured, None)).is_err());
    }
    let off = Readings {
        diameter_tolerance: Length::from_nm(-1),
        ..Readings::new(Measured::Outside(Length::from_nm(9_000_000)), None)
    };
    assert!(
        identify(&off)
            .unwrap_err()
            .to_string()
            .contains("tolerance of the diameter")
    );
    for text in [
        "", "14", "0tpi", "-3tpi", "nantpi", "inf tpi", "0mm", "-1mm", "tpi", "x mm", "18mm/0",
        "18mm/x", "mm/10", "18/10", "0mm/10",
    ] {
        assert!(parse_pitch(text).is_err(), "{text}");
    }
    let found = outside(300.0, None);
    assert!(found.candidates.is_empty() && matches!(found.conclusion, Conclusion::NoMatch { .. }));
}

proptest! {
    /// A wider tolerance never rules out a thread that a narrower one allows.
    #[test]
    fn a_rougher_reading_never_matches_fewer_threads(nm in 2_000_000_i64..50_000_000, pitch in 300_000_i64..5_000_000, rough in 1_i64..5) {
        let of = |times: i64| {
            let pitch = PitchReading { pitch: Length::from_nm(pitch), tolerance: PITCH_GAUGE_TOLERANCE * times };
            let readings = Readings {
                diameter_tolerance: DIAMETER_TOLERANCE * times,
                ..Readings::new(Measured::Outside(Length::from_nm(nm)), Some(pitch))
            };
            let found = identify(&readings).unwrap().candidates;
            found.into_iter().filter(|c| c.match_level != MatchLevel::Unlikely).map(|c| c.thread).collect::<Vec<_>>()
        };
        let (fine, coarse) = (of(1), of(rough));
        prop_assert!(fine.iter().all(|thread| coarse.contains(thread)));
    }

    #[test]
    fn telling_apart_is_symmetric(a in 0_usize..380, b in 0_usize..380) {
        let (a, b) = (standard_threads().nth(a).unwrap(), standard_threads().nth(b).unwrap());
        prop_assert_eq!(tell_apart(a, b).map(|t| t.by), tell_apart(b, a).map(|t| t.by));
    }
}

/// The old American half inch has 12 threads of 60 degrees, as 1/2-12 BSW has of 55 (common
/// practice, no source).
#[test]
fn a_whitworth_thread_is_never_certain_from_diameter_and_pitch() {
    for whitworth in standard_threads().filter(|t| t.series().system() == System::Whitworth) {
        let (screw, hole) = (whitworth.usual_external(), whitworth.usual_internal());
        let pitch = PitchReading {
            pitch: Length::from_mm(whitworth.pitch_mm()).unwrap(),
            tolerance: PITCH_GAUGE_TOLERANCE,
        };
        let below = Length::from_computed_mm(0.02 * whitworth.pitch_mm());
        for measured in [
            Measured::Outside(screw.major_max - below),
            Measured::Inside(hole.minor_min + below),
        ] {
            let found = identify(&Readings::new(measured, Some(pitch))).unwrap();
            assert_eq!(only_match(&found), None, "{whitworth} {measured:?}");
        }
    }
    let (threads, tells) = several(&outside(12.62, Some("12tpi")));
    assert_eq!(threads, ["1/2-12 BSW", "1/2-12 UNS"]);
    assert!(tells.contains("55 degrees and 1/2-12 UNS 60"), "{tells}");
}
