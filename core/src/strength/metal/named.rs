//! Ductile iron, aluminum castings and steel by grade. Tensile strengths are in ksi, as in the
//! American standards.

/// Ductile iron of ASTM A536. The grade gives least tensile strength in ksi, yield strength in ksi
/// and elongation in percent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ductile {
    /// 60-40-18.
    Grade60_40_18,
    /// 65-45-12.
    Grade65_45_12,
    /// 80-55-06.
    Grade80_55_06,
    /// 100-70-03.
    Grade100_70_03,
    /// 120-90-02.
    Grade120_90_02,
}

impl Ductile {
    /// All grades.
    pub const ALL: [Ductile; 5] = [
        Ductile::Grade60_40_18,
        Ductile::Grade65_45_12,
        Ductile::Grade80_55_06,
        Ductile::Grade100_70_03,
        Ductile::Grade120_90_02,
    ];

    /// Returns the name: `ASTM A536 grade 65-45-12`.
    pub const fn name(self) -> &'static str {
        match self {
            Ductile::Grade60_40_18 => "ASTM A536 grade 60-40-18",
            Ductile::Grade65_45_12 => "ASTM A536 grade 65-45-12",
            Ductile::Grade80_55_06 => "ASTM A536 grade 80-55-06",
            Ductile::Grade100_70_03 => "ASTM A536 grade 100-70-03",
            Ductile::Grade120_90_02 => "ASTM A536 grade 120-90-02",
        }
    }

    /// Returns the least tensile strength, in ksi.
    pub const fn tensile_ksi(self) -> f64 {
        match self {
            Ductile::Grade60_40_18 => 60.0,
            Ductile::Grade65_45_12 => 65.0,
            Ductile::Grade80_55_06 => 80.0,
            Ductile::Grade100_70_03 => 100.0,
            Ductile::Grade120_90_02 => 120.0,
        }
    }
}

/// A sand-cast aluminum alloy in its temper (ASTM B26).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Aluminum {
    /// 319.0 as cast.
    Alloy319F,
    /// 356.0 as cast.
    Alloy356F,
    /// 356.0 heat treated to T6.
    Alloy356T6,
}

impl Aluminum {
    /// All alloys.
    pub const ALL: [Aluminum; 3] = [
        Aluminum::Alloy319F,
        Aluminum::Alloy356F,
        Aluminum::Alloy356T6,
    ];

    /// Returns the name: `aluminum 356.0-T6, sand cast`.
    pub const fn name(self) -> &'static str {
        match self {
            Aluminum::Alloy319F => "aluminum 319.0-F, sand cast",
            Aluminum::Alloy356F => "aluminum 356.0-F, sand cast",
            Aluminum::Alloy356T6 => "aluminum 356.0-T6, sand cast",
        }
    }

    /// Returns the least tensile strength of the separately cast bar, in ksi.
    pub const fn tensile_ksi(self) -> f64 {
        match self {
            Aluminum::Alloy319F => 23.0,
            Aluminum::Alloy356F => 19.0,
            Aluminum::Alloy356T6 => 30.0,
        }
    }

    /// Returns the source of the figure.
    pub const fn source(self) -> &'static str {
        "least values for sand castings, as published by a foundry (secondary source)"
    }
}

/// Steel. An ASTM A27 grade gives the least tensile and yield strength in ksi.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Steel {
    /// Cast steel 60-30.
    A27Grade60_30,
    /// Cast steel 65-35.
    A27Grade65_35,
    /// Cast steel 70-36.
    A27Grade70_36,
    /// Structural steel.
    A36,
}

impl Steel {
    /// All grades.
    pub const ALL: [Steel; 4] = [
        Steel::A27Grade60_30,
        Steel::A27Grade65_35,
        Steel::A27Grade70_36,
        Steel::A36,
    ];

    /// Returns the name: `ASTM A27 grade 60-30`, `ASTM A36`.
    pub const fn name(self) -> &'static str {
        match self {
            Steel::A27Grade60_30 => "ASTM A27 grade 60-30",
            Steel::A27Grade65_35 => "ASTM A27 grade 65-35",
            Steel::A27Grade70_36 => "ASTM A27 grade 70-36",
            Steel::A36 => "ASTM A36",
        }
    }

    /// Returns the least tensile strength, in ksi.
    pub const fn tensile_ksi(self) -> f64 {
        match self {
            Steel::A27Grade60_30 => 60.0,
            Steel::A27Grade65_35 => 65.0,
            Steel::A27Grade70_36 => 70.0,
            Steel::A36 => 58.0,
        }
    }

    /// Returns the source of the figure.
    pub const fn source(self) -> &'static str {
        match self {
            Steel::A36 => "ASTM A36, from published tables (secondary source)",
            _ => {
                "ASTM A27: the grade's first number is its least tensile strength in ksi (secondary source)"
            }
        }
    }
}
