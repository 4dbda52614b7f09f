//! Ways to get a broken piece out of a hole, in order of least harm to the casting.
//!
//! All of it is common practice, without a source.

use super::damage::BrokenTool;
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// A way to get a broken piece out.
#[derive(
    holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Removal {
    /// Soak it, and turn what stands out of the hole.
    TurnStub,
    /// Soak and jar it, and work it out with a punch.
    Punch,
    /// Pick the loose pieces out, and back it out by its flutes.
    Flutes,
    /// Drill it with a left-hand drill.
    LeftHandDrill,
    /// Drill out the core, and pick the thread out.
    DrillCore,
    /// A screw extractor in a drilled core.
    ScrewExtractor,
    /// Mill or grind it out with carbide or diamond.
    Mill,
    /// Heat it or the iron around it.
    Heat,
    /// Dissolve it with acid or alum.
    Dissolve,
    /// Burn it out by EDM.
    Edm,
    /// Weld a nut to it.
    WeldNut,
    /// Drill it with a hand drill.
    HandDrill,
}

/// The source of all of it.
pub const SOURCE: &str = "common practice, no source";

/// Ways for a bolt or stud, which a drill cuts.
const SOFT: [Removal; 9] = [
    Removal::TurnStub,
    Removal::Punch,
    Removal::LeftHandDrill,
    Removal::DrillCore,
    Removal::ScrewExtractor,
    Removal::Mill,
    Removal::Edm,
    Removal::Heat,
    Removal::WeldNut,
];
/// Ways for a tap, drill, screw extractor, or unknown tool, which no ordinary drill cuts.
const HARD: [Removal; 3] = [Removal::Flutes, Removal::Mill, Removal::Edm];

/// Returns the ways to get a piece out, the one that harms the casting least first. A piece that
/// does not stand out of the hole cannot be gripped.
pub fn ways(piece: &BrokenTool) -> Vec<Removal> {
    let is_soft = matches!(
        piece.what.trim().to_ascii_lowercase().as_str(),
        "bolt" | "stud" | "screw" | "capscrew" | "cap screw"
    );
    let all: &[Removal] = if is_soft { &SOFT } else { &HARD };
    let may_stand_out = piece.top.is_none_or(Length::is_negative);
    let possible = |way: &&Removal| **way != Removal::TurnStub || may_stand_out;
    all.iter().filter(possible).copied().collect()
}

impl Removal {
    /// All ways, also those that nobody should take.
    pub const ALL: [Removal; 12] = [
        Removal::TurnStub,
        Removal::Punch,
        Removal::Flutes,
        Removal::LeftHandDrill,
        Removal::DrillCore,
        Removal::ScrewExtractor,
        Removal::Mill,
        Removal::Edm,
        Removal::Heat,
        Removal::WeldNut,
        Removal::Dissolve,
        Removal::HandDrill,
    ];

    /// Returns whether it heats the iron, which may leave hard metal.
    pub const fn is_hot(self) -> bool {
        matches!(self, Removal::Heat | Removal::WeldNut)
    }

    /// Returns its name in the journal and in forms.
    pub const fn word(self) -> &'static str {
        match self {
            Removal::TurnStub => "turn-stub",
            Removal::Punch => "punch",
            Removal::Flutes => "flutes",
            Removal::LeftHandDrill => "left-hand-drill",
            Removal::DrillCore => "drill-core",
            Removal::ScrewExtractor => "screw-extractor",
            Removal::Mill => "mill",
            Removal::Heat => "heat",
            Removal::Dissolve => "dissolve",
            Removal::Edm => "edm",
            Removal::WeldNut => "weld-nut",
            Removal::HandDrill => "hand-drill",
        }
    }

    /// Returns the way with a name.
    pub fn from_word(word: &str) -> Option<Removal> {
        Removal::ALL.into_iter().find(|way| way.word() == word)
    }

    /// Returns what to look out for in the hole after it; `None`: nothing special.
    pub const fn aftermath(self) -> Option<&'static str> {
        match self {
            Removal::TurnStub | Removal::Punch | Removal::LeftHandDrill => None,
            Removal::Heat | Removal::WeldNut => Some(
                "Heat hardens iron: test the iron around the hole with a file before drilling or \
                 tapping, look for cracks, and describe a hard zone if the file skates.",
            ),
            Removal::Dissolve => Some(
                "Acid and alum eat iron too: neutralize and rinse, then measure the bore before \
                 you trust the thread.",
            ),
            Removal::Edm => Some(
                "EDM leaves a hole of the electrode's size and a thin hard skin: measure the bore, \
                 and test it with a file before tapping.",
            ),
            Removal::DrillCore | Removal::ScrewExtractor | Removal::Mill | Removal::HandDrill => {
                Some(
                    "A drill or mill may have run off beside the piece: measure how far off center the \
                 hole is now.",
                )
            }
            Removal::Flutes => Some(
                "Splinters of hard steel may be left in the thread: pick and blow them out, with \
                 eye protection, before any tap goes in.",
            ),
        }
    }

    /// Returns a few words for it.
    pub const fn name(self) -> &'static str {
        match self {
            Removal::TurnStub => "turned out by the stub",
            Removal::Punch => "worked out with a punch",
            Removal::Flutes => "backed out by the flutes",
            Removal::LeftHandDrill => "left-hand drill",
            Removal::DrillCore => "core drilled, thread picked out",
            Removal::ScrewExtractor => "screw extractor",
            Removal::Mill => "milled or ground out",
            Removal::Edm => "EDM",
            Removal::Heat => "heat",
            Removal::Dissolve => "acid or alum",
            Removal::WeldNut => "nut welded on",
            Removal::HandDrill => "drilled by hand",
        }
    }

    /// Returns what to do, and what to beware of.
    pub const fn how(self) -> &'static str {
        match self {
            Removal::TurnStub => {
                "Soak it in penetrating oil overnight, and turn the stub both ways with locking \
                 pliers or a stud remover, a little farther each time."
            }
            Removal::Punch => {
                "Soak it in penetrating oil overnight, jar it with light blows in line with the \
                 hole, and work it around with a sharp center punch near its rim. Heavy blows \
                 crack a thin boss."
            }
            Removal::Flutes => {
                "Pick out loose pieces and chips with a scriber and a magnet, add oil, and back it \
                 out with a tap extractor in the flutes or two picks. Do not hammer it: a tap \
                 shatters, and the splinters jam and fly."
            }
            Removal::LeftHandDrill => {
                "File its top flat, center-punch the middle, and drill with a left-hand drill \
                 turning backward: it often catches and backs the piece out. Start on center, or \
                 the drill runs into the iron."
            }
            Removal::DrillCore => {
                "Drill the core in steps up to just under the thread's minor diameter, collapse \
                 the shell that is left with a pick, and chase the thread. A drill off center \
                 cuts the old thread away."
            }
            Removal::ScrewExtractor => {
                "Use it only on a piece that turns already, with steady force. It spreads the \
                 piece and jams it tighter, and one that breaks off is harder than any drill."
            }
            Removal::Mill => {
                "With the casting clamped on a mill and the hole found on the spindle, cut it out \
                 with a carbide end mill or a diamond bur, in small steps. Splinters fly: wear a \
                 face shield."
            }
            Removal::Edm => {
                "A shop with EDM burns the core out and picks the rest. It leaves a hole of the \
                 electrode's size and a thin hard skin: measure the bore, and test it with a file."
            }
            Removal::Heat => {
                "Warm the iron around a bolt, not the bolt, evenly and slowly, and turn it while it \
                 is warm: fast or local heat cracks and hardens cast iron."
            }
            Removal::Dissolve => NO_ACID,
            Removal::HandDrill => {
                "A drill held by hand follows the softer metal and runs off beside the piece: drill \
                 in a machine, with the casting clamped and the hole found on the spindle."
            }
            Removal::WeldNut => {
                "Last, and for someone qualified to weld on cast iron: weld a nut to the piece and \
                 turn it out warm. The heat can leave hard iron and cracks around the hole: test \
                 with a file, and look for cracks."
            }
        }
    }
}

/// What never to use.
pub const NO_ACID: &str = "Leave acid and alum alone: what eats steel out of aluminum eats cast iron too, and leaves a hole of \
     unknown size.";

#[cfg(test)]
mod tests {
    use super::super::testing::mm;
    use super::*;

    fn piece(what: &str, top: Option<f64>) -> BrokenTool {
        BrokenTool {
            what: what.into(),
            length: None,
            top: top.map(mm),
        }
    }

    #[test]
    fn what_harms_least_comes_first_and_heat_last() {
        let stub = ways(&piece("bolt", Some(-3.0)));
        assert_eq!(stub.first(), Some(&Removal::TurnStub));
        assert_eq!(stub.last(), Some(&Removal::WeldNut));
        let flush = ways(&piece("Stud", Some(0.0)));
        assert_eq!(flush.first(), Some(&Removal::Punch));
        assert!(flush.contains(&Removal::LeftHandDrill));
    }

    #[test]
    fn hard_tools_are_not_drilled() {
        for what in ["tap", "drill", "screw extractor", "reamer", "tool"] {
            let ways = ways(&piece(what, None));
            assert!(!ways.contains(&Removal::LeftHandDrill), "{what}");
            assert!(!ways.contains(&Removal::ScrewExtractor), "{what}");
            assert_eq!(ways.first(), Some(&Removal::Flutes), "{what}");
        }
    }
}
