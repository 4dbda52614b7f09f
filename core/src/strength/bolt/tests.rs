#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

fn inch(text: &str) -> Length {
    Length::parse(text, None).unwrap()
}

fn seat(thread: &str, grip: &str, engaged_to: &str, room: TipRoom) -> BoltSeat {
    BoltSeat {
        bolt: Thread::parse(thread).unwrap(),
        grip: inch(grip),
        starts: Length::ZERO,
        engaged_to: inch(engaged_to),
        beyond_pitches: 2.0,
        room,
        clear_pitches: 1.0,
    }
}

/// Computed by hand: grip 3/4 in, a 3/8-16 wire thread insert of 3/4 in that ends .80 in deep, room
/// to 1.25 in. Two pitches are 1/8 in: least .75 + .80 + .125 = 1.675; most .75 + 1.25 - 1/16 =
/// 1.9375. Of 1-1/2, 1-3/4 and 2 in only 1-3/4 (up to .04 in short) does both.
#[test]
fn a_bolt_length_computed_by_hand() {
    let found = bolt_length(&seat(
        "3/8-16",
        "3/4",
        "0.80 in",
        TipRoom::To(inch("1-1/4")),
    ));
    assert_eq!(found.least, inch("1.675 in"));
    assert_eq!(found.most, Some(inch("1.9375 in")));
    assert_eq!(
        (found.shortest, found.longest),
        (Some(inch("1-3/4")), Some(inch("1-3/4")))
    );
    assert_eq!(found.advice, None);
    assert!(!found.threaded_to_head);
}

#[test]
fn advice_if_no_stock_length_works() {
    let between = bolt_length(&seat(
        "3/8-16",
        "3/4",
        "0.80 in",
        TipRoom::To(inch("1.06 in")),
    ));
    assert_eq!(between.shortest, None);
    let advice = between.advice.unwrap().to_string();
    assert!(
        advice.contains("cut a 44.45 mm (1-3/4 in) bolt") && advice.contains("washer"),
        "{advice}"
    );
    // Room for exactly one length: 1.675 in and 1.675 in, not a range that ends before it begins.
    let exactly = bolt_length(&seat(
        "3/8-16",
        "3/4",
        "0.80 in",
        TipRoom::To(inch("0.9875 in")),
    ));
    let advice = exactly.advice.unwrap().to_string();
    assert!(advice.contains("(1.675 in) exactly"), "{advice}");
    let shallow = bolt_length(&seat(
        "3/8-16",
        "3/4",
        "0.80 in",
        TipRoom::To(inch("0.9 in")),
    ));
    assert!(shallow.advice.unwrap().to_string().contains("too shallow"));
    let long = bolt_length(&seat("3/8-16", "12 in", "0.80 in", TipRoom::Open));
    assert!(matches!(long.advice, Some(BoltLengthAdvice::Longer { .. })));
    let open = bolt_length(&seat("3/8-16", "3/4", "0.80 in", TipRoom::Open));
    assert_eq!(
        (open.shortest, open.most, open.longest),
        (Some(inch("1-3/4")), None, None)
    );
    assert_eq!(open.advice, Some(BoltLengthAdvice::GoesThrough));
}

#[test]
fn a_long_insert_needs_a_fully_threaded_bolt() {
    // 1/2-13: a standard bolt has 1-1/4 in of thread; an insert of 1-1/2 in needs more.
    let found = bolt_length(&seat("1/2-13", "1/2", "1-1/2", TipRoom::Open));
    assert!(found.threaded_to_head);
}

/// ASME B18.2.1 thread lengths as suppliers publish them: 1/4 .750, 3/8 1.000, 1/2 1.250, 1 in
/// 2.250; over 6 in 1/4 in more.
#[test]
fn thread_lengths_as_published() {
    for (thread, short, long) in [
        ("1/4-20", "3/4", "1 in"),
        ("3/8-16", "1 in", "1-1/4"),
        ("1/2-13", "1-1/4", "1-1/2"),
        ("1-8", "2-1/4", "2-1/2"),
    ] {
        let thread = Thread::parse(thread).unwrap();
        assert_eq!(thread_length(&thread, inch("4 in")), inch(short));
        assert_eq!(thread_length(&thread, inch("7 in")), inch(long));
    }
    // ISO 888 as a supplier publishes it: 2d + 6 up to 125 mm.
    let m10 = Thread::parse("M10").unwrap();
    assert_eq!(thread_length(&m10, inch("60 mm")), inch("26 mm"));
    assert_eq!(thread_length(&m10, inch("130 mm")), inch("32 mm"));
}

proptest! {
    #[test]
    fn bolts_found_neither_bottom_nor_fall_short(
        index in 0_usize..8, grip in 1_000_000_i64..80_000_000, engaged in 4_000_000_i64..40_000_000, more in 0_i64..40_000_000, beyond in 0.0_f64..3.0,
    ) {
        let bolt = Thread::parse(["1/4-20", "5/16-18", "3/8-16", "1/2-13", "3/4-10", "M6", "M10", "M16"][index]).unwrap();
        let seat = BoltSeat {
            bolt,
            grip: Length::from_nm(grip),
            starts: Length::ZERO,
            engaged_to: Length::from_nm(engaged),
            beyond_pitches: beyond,
            room: TipRoom::To(Length::from_nm(engaged + more)),
            clear_pitches: 1.0,
        };
        let found = bolt_length(&seat);
        let most = found.most.unwrap();
        prop_assert_eq!(found.shortest.is_some(), found.longest.is_some());
        for length in [found.shortest, found.longest].into_iter().flatten() {
            let (short, long) = length_tolerance(&bolt, length);
            prop_assert!(length - short - seat.grip >= seat.engaged_to);
            prop_assert!(length + long - seat.grip <= Length::from_nm(engaged + more));
            prop_assert!(found.least <= length && length <= most);
        }
        prop_assert!(found.shortest <= found.longest);
        prop_assert_eq!(found.advice.is_some(), found.shortest.is_none());
        if let Some(BoltLengthAdvice::CutOrWasher { stock, washer: Some((thin, thick)), .. }) = found.advice {
            prop_assert!(stock - thin <= most && stock - thick >= found.least && thin <= thick);
        }
    }

    #[test]
    fn more_grip_never_needs_a_shorter_bolt(grip in 1_000_000_i64..50_000_000, more in 0_i64..30_000_000) {
        let at = |nm| bolt_length(&BoltSeat { grip: Length::from_nm(nm), ..seat("3/8-16", "1 in", "3/4", TipRoom::Open) });
        prop_assert!(at(grip).shortest <= at(grip + more).shortest);
    }
}
