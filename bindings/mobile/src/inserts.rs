//! Inserts, and the tapped hole that each wants.

use crate::border::In;
use crate::border::{Out, record_out, words};
use crate::error::NotebookError;
use crate::guard::guard;
use crate::length::Length;
use crate::record::Family;
use holebook_core::drill;
use holebook_core::insert as core;
use holebook_core::thread::Thread;

/// A drill: its name in the trade, and the diameter that the name stands for.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Drill {
    /// What the trade calls it: `29/64`, `#7`, `X`, `10.2 mm`.
    pub name: String,
    /// Its nominal diameter. Drills cut a little over it.
    pub diameter: Length,
}

impl Out for drill::Drill {
    type Face = Drill;
    fn out(self) -> Drill {
        let Self { name, diameter } = self;
        Drill {
            name: name.to_string(),
            diameter: diameter.out(),
        }
    }
}

words! {
    /// How long a tap's chamfer is.
    TapChamfer = core::TapChamfer {
        /// 7 to 10 threads.
        Taper,
        /// 3 to 5 threads.
        Plug,
        /// 1 to 2 threads.
        Bottoming,
    }
}

words! {
    /// The shape of a thread's groove.
    Form = holebook_core::thread::Form {
        /// 60 degrees, flat crests: Unified and ISO metric.
        Sixty,
        /// 55 degrees, rounded crests and roots: Whitworth and the British pipe threads.
        Whitworth,
        /// 60 degrees, barely cut at the crests: American pipe threads.
        AmericanPipe,
    }
}

record_out! {
    /// The outside thread of an insert, and of the hole it goes into.
    OutsideThread = core::OutsideThread {
        /// `3/8-16 STI` for a wire thread insert, `1/2-13 UNC` for others.
        designation: String,
        /// Pitch, millimetres.
        pitch_mm: f64,
        /// Least major diameter of the insert; for a wire thread insert the basic one, which the tapped hole sets.
        major_min: Length,
        /// Basic major diameter, from which walls and neighbours are reckoned.
        major: Length,
        /// Basic pitch diameter.
        pitch_diameter: Length,
        /// Largest pitch diameter of the tapped hole.
        tapped_pitch_diameter_max: Length,
        /// The shape of its groove.
        form: Form,
        /// The standard thread it is; none for the threads of wire thread inserts.
        thread: Option<String>,
    }
}

record_out! {
    /// A countersink: diameter at the face, and included angle.
    Countersink = core::Countersink {
        /// Least diameter.
        min: Length,
        /// Largest diameter.
        max: Length,
        /// Least included angle, degrees.
        angle_min_deg: f64,
        /// Largest included angle, degrees.
        angle_max_deg: f64,
    }
}

words! {
    /// How sure a figure is.
    Confidence = core::Confidence {
        /// Read in the document itself.
        Read,
        /// Read off the insert in hand or the card that came with it.
        Card,
        /// Seen on a secondary page.
        Secondary,
        /// Worked out by a formula.
        Computed,
        /// A judgement.
        Judgement,
        /// Remembered, and not confirmed.
        Memory,
        /// Inferred from figures beside it, and read nowhere.
        Inferred,
    }
}

record_out! {
    /// A wire thread insert once it is set.
    Coil = core::Coil {
        /// Least length once it is set.
        set_length_min: Length,
        /// Largest length once it is set.
        set_length_max: Length,
        /// Least turns once it is set.
        turns_min: f64,
        /// Most turns once it is set.
        turns_max: f64,
        /// Least depth of its upper end below the face in a hole without a countersink.
        plain_below_min: Length,
        /// Largest depth there.
        plain_below_max: Length,
    }
}

record_out! {
    /// One insert of one length, and the hole it wants.
    Insert = core::Insert {
        /// Its kind.
        family: Family,
        /// The thread it gives the bolt.
        internal: String,
        /// The thread it holds by in the parent metal.
        outside: OutsideThread,
        /// Least diameter of the hole before tapping.
        hole_min: Length,
        /// Largest diameter of the hole before tapping.
        hole_max: Length,
        /// The drill for it.
        drill: Drill,
        /// The tap for it.
        tap: String,
        /// The countersink at its mouth.
        countersink: Option<Countersink>,
        /// Nominal length of the insert.
        length: Length,
        /// Least depth of its upper end below the face.
        set_below_min: Length,
        /// Largest depth of its upper end below the face.
        set_below_max: Length,
        /// Least depth of full thread in the parent metal.
        full_thread_min: Length,
        /// Locking keys to be driven down; 0 where it has none.
        keys: u8,
        /// Whether it has a driving tang to be broken off.
        tang: bool,
        /// What becomes of the coil, for a wire thread insert.
        coil: Option<Coil>,
        /// Least area of its outside thread under shear, locking type, mm2, where one is published.
        published_shear_area_mm2: Option<f64>,
        /// Where these numbers come from.
        source: String,
        /// How sure the least sure of them is.
        confidence: Confidence,
        /// The shop's own file that it stands in; none for what comes with the notebook.
        shop_file: Option<String>,
        /// What a person must know beside the numbers, in sentences.
        notes: Vec<String>,
    }
}

/// The inserts that come with the notebook and give a thread, by family and length; none for a thread that none of them gives.
///
/// Fails with `Unreadable` where the thread is none known here.
#[uniffi::export]
pub fn inserts_for(thread: String) -> Result<Vec<Insert>, NotebookError> {
    guard("inserts_for", || {
        let thread: Thread = thread.inward()?;
        Ok(core::Catalogue::standard().inserts_for(&thread).out())
    })
}
