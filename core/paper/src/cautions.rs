//! Cautions, once on a sheet.

/// The caution of every sheet that people work by.
pub const CAUTION: &str = "Wear eye protection and a dust mask. Clamp the casting; no gloves near a turning spindle. Lift it by its \
    strong points and never stand under it. Wipe oil out of blind holes: a bolt driven onto trapped oil can burst the boss. \
    Leave brazing, welding and anything that holds pressure to people who are trained and licensed for it. Torque: the \
    machine's manual and the iron decide, not the bolt's chart.";
