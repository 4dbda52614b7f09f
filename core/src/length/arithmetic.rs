//! Arithmetic on lengths, saturating instead of overflowing.

use super::Length;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Divides to the nearest whole number, halves away from zero. `den` must be positive.
pub(super) const fn divide_to_nearest(num: i128, den: i128) -> i64 {
    // Nearly always, and several times as fast.
    const SMALL: i128 = i64::MAX as i128 / 2;
    if -SMALL < num && num < SMALL && den < SMALL {
        let (num, den) = (num as i64, den as i64);
        let half = if num >= 0 { den / 2 } else { -(den / 2) };
        return (num + half) / den;
    }
    let half = den / 2;
    let nearest = if num >= 0 {
        (num + half) / den
    } else {
        (num - half) / den
    };
    nearest as i64
}

impl Length {
    /// Returns the length without its sign.
    pub const fn abs(self) -> Length {
        Length(self.0.saturating_abs())
    }

    /// Whether the length is above zero.
    pub const fn is_positive(self) -> bool {
        self.0 > 0
    }

    /// Whether the length is below zero.
    pub const fn is_negative(self) -> bool {
        self.0 < 0
    }

    /// Returns zero for a negative length: a depth that would be negative is no depth.
    pub const fn clamp_at_zero(self) -> Length {
        if self.0 < 0 { Length::ZERO } else { self }
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0.saturating_add(other.0))
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0.saturating_sub(other.0))
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(self.0.saturating_neg())
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        *self = *self + other;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        *self = *self - other;
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0.saturating_mul(times))
    }
}

/// Divides to the nearest nanometer, halves away from zero.
impl Div<i64> for Length {
    type Output = Length;
    fn div(self, parts: i64) -> Length {
        let (num, den) = (i128::from(self.0), i128::from(parts));
        if den < 0 {
            Length(divide_to_nearest(-num, -den))
        } else {
            Length(divide_to_nearest(num, den))
        }
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}

impl<'a> Sum<&'a Length> for Length {
    fn sum<I: Iterator<Item = &'a Length>>(lengths: I) -> Length {
        lengths.copied().sum()
    }
}
