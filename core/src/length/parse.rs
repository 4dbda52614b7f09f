//! Parser for lengths as people write them.

use super::named_drills;
use super::{Length, LengthError, MAX_NM, NM_PER_INCH, NM_PER_MM, Unit};

/// Longer text is refused unread: it is a paste gone wrong.
const MAX_TEXT_CHARS: usize = 64;
/// Nanometers in a thousandth of an inch.
const NM_PER_THOU: i64 = NM_PER_INCH / 1000;

/// Parses a diameter, which may be the name of a drill.
pub(super) fn parse_diameter(
    text: &str,
    default_unit: Option<Unit>,
) -> Result<Length, LengthError> {
    if text.chars().count() <= MAX_TEXT_CHARS {
        let plain = normalize_signs(text).to_ascii_lowercase();
        if let Some(drill) = drill_name(&plain, text.trim())? {
            return Ok(drill);
        }
    }
    parse(text, default_unit)
}

pub(super) fn parse(text: &str, default_unit: Option<Unit>) -> Result<Length, LengthError> {
    if text.chars().count() > MAX_TEXT_CHARS {
        let start: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let start: String = start.chars().take(20).collect();
        return Err(unreadable(&format!("{start}...")));
    }
    // One line, because error messages quote it.
    let written = &text.split_whitespace().collect::<Vec<_>>().join(" ");
    if written.is_empty() {
        return Err(LengthError::Empty);
    }
    let plain = normalize_signs(written).to_ascii_lowercase();
    if drill_name(&plain, written)?.is_some() {
        return Err(LengthError::DrillName {
            text: written.to_owned(),
        });
    }
    let (negative, size) = match plain.strip_prefix('-') {
        Some(rest) => (true, rest.trim_start()),
        None => (false, plain.strip_prefix('+').unwrap_or(&plain)),
    };
    let (number, unit) = split_unit(size, written)?;
    let nm = if number.contains('/') {
        if unit.is_some_and(|nm| nm != NM_PER_INCH) {
            return Err(LengthError::FractionOfMillimeter {
                text: written.to_owned(),
            });
        }
        fraction(number, written)?
    } else {
        decimal(number, unit, default_unit, written)?
    };
    if nm > i128::from(MAX_NM) {
        return Err(LengthError::TooLarge {
            input: written.to_owned(),
        });
    }
    let nm = nm as i64;
    Ok(Length::from_nm(if negative { -nm } else { nm }))
}

fn unreadable(text: &str) -> LengthError {
    LengthError::NotALength {
        text: text.to_owned(),
    }
}

/// Replaces typographic hyphens, slashes, quotes and fractions by plain ones and collapses spaces;
/// letters stay as they are.
pub(crate) fn normalize_signs(written: &str) -> String {
    let mut plain = String::with_capacity(written.len());
    for c in written.chars() {
        match c {
            '\u{2212}' | '\u{2010}' | '\u{2011}' | '\u{2013}' => plain.push('-'),
            '\u{2044}' | '\u{2215}' => plain.push('/'),
            '\u{201d}' | '\u{2033}' => plain.push('"'),
            '\u{bc}' => plain.push_str(" 1/4"),
            '\u{bd}' => plain.push_str(" 1/2"),
            '\u{be}' => plain.push_str(" 3/4"),
            '\u{215b}' => plain.push_str(" 1/8"),
            '\u{215c}' => plain.push_str(" 3/8"),
            '\u{215d}' => plain.push_str(" 5/8"),
            '\u{215e}' => plain.push_str(" 7/8"),
            c => plain.push(c),
        }
    }
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Returns the diameter of `#7`, `no. 7` or `u`; `None` if the text is not written as a drill.
fn drill_name(plain: &str, written: &str) -> Result<Option<Length>, LengthError> {
    let mut characters = plain.chars();
    if let (Some(only), None) = (characters.next(), characters.next())
        && let Some(diameter) = named_drills::letter(only)
    {
        return Ok(Some(diameter));
    }
    let number = plain
        .strip_prefix('#')
        .or_else(|| plain.strip_prefix("no."))
        .or_else(|| plain.strip_prefix("no "));
    let Some(number) = number.map(str::trim) else {
        return Ok(None);
    };
    number
        .parse()
        .ok()
        .and_then(named_drills::number)
        .map(Some)
        .ok_or_else(|| LengthError::UnknownDrill {
            text: written.to_owned(),
        })
}

/// Splits off the unit, as its nanometers, if there is one.
fn split_unit<'a>(size: &'a str, written: &str) -> Result<(&'a str, Option<i64>), LengthError> {
    let end = size
        .find(|c: char| !(c.is_ascii_digit() || " .,/-".contains(c)))
        .unwrap_or(size.len());
    let (number, unit) = size.split_at(end);
    let number = number.trim();
    if !number.contains(|c: char| c.is_ascii_digit()) {
        return Err(unreadable(written));
    }
    let nm = match unit.trim() {
        "" => None,
        "in" | "in." | "inch" | "inches" | "\"" | "''" => Some(NM_PER_INCH),
        "mm" | "mm." => Some(NM_PER_MM),
        "thou" => Some(NM_PER_THOU),
        other if other.chars().all(|c| c.is_alphabetic() || c == '\'') => {
            return Err(LengthError::UnknownUnit {
                text: written.to_owned(),
                unit: other.to_owned(),
            });
        }
        _ => return Err(unreadable(written)),
    };
    Ok((number, nm))
}

/// Parses `25/64`, `1-1/8` or `1 1/8` of an inch into nanometers.
fn fraction(number: &str, written: &str) -> Result<i128, LengthError> {
    let whole_number = |text: &str| -> Result<i128, LengthError> {
        let text = text.trim();
        if text.is_empty() || text.len() > 9 || !text.bytes().all(|b| b.is_ascii_digit()) {
            return Err(unreadable(written));
        }
        text.parse().map_err(|_| unreadable(written))
    };
    let (upper, lower) = number.split_once('/').ok_or_else(|| unreadable(written))?;
    let upper = upper.trim();
    let (whole, upper) = match upper.split_once(['-', ' ']) {
        Some((whole, upper)) => (whole_number(whole)?, whole_number(upper)?),
        None => (0, whole_number(upper)?),
    };
    let lower = whole_number(lower)?;
    if lower == 0 {
        return Err(LengthError::ZeroDenominator {
            text: written.to_owned(),
        });
    }
    let inch = i128::from(NM_PER_INCH);
    Ok(((whole * lower + upper) * inch + lower / 2) / lower)
}

/// Parses a decimal number into nanometers, in its own unit or the default one.
fn decimal(
    number: &str,
    unit: Option<i64>,
    default_unit: Option<Unit>,
    written: &str,
) -> Result<i128, LengthError> {
    let number = normalize_decimal_point(number, written)?;
    let (whole, part) = number.split_once('.').unwrap_or((&number, ""));
    let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if !digits(whole) || !digits(part) || (whole.is_empty() && part.is_empty()) {
        return Err(unreadable(written));
    }
    let unit = match unit {
        Some(unit) => unit,
        None => unit_of_bare_number(&number, whole.is_empty(), default_unit)?,
    };
    // Nine places of a unit are finer than a nanometer; further digits cannot matter.
    let part = &part[..part.len().min(12)];
    let whole_digits = whole.trim_start_matches('0');
    if whole_digits.len() > 12 {
        return Err(LengthError::TooLarge {
            input: written.to_owned(),
        });
    }
    let scale = 10_i128.pow(part.len() as u32);
    let value: i128 = format!("0{whole_digits}{part}")
        .parse()
        .map_err(|_| unreadable(written))?;
    Ok((value * i128::from(unit) + scale / 2) / scale)
}

fn unit_of_bare_number(
    number: &str,
    no_leading_zero: bool,
    default_unit: Option<Unit>,
) -> Result<i64, LengthError> {
    match default_unit {
        Some(Unit::Millimeter) if no_leading_zero => Err(LengthError::InchOrMillimeter {
            number: number.to_owned(),
            with_zero: format!("0{number}"),
        }),
        Some(Unit::Millimeter) => Ok(NM_PER_MM),
        Some(Unit::Inch) => Ok(NM_PER_INCH),
        None if no_leading_zero => Ok(NM_PER_INCH),
        None => Err(LengthError::NoUnit {
            number: number.to_owned(),
        }),
    }
}

/// Replaces a decimal comma by a point, and refuses a comma that may separate thousands.
fn normalize_decimal_point(number: &str, written: &str) -> Result<String, LengthError> {
    let Some((whole, part)) = number.split_once(',') else {
        return Ok(number.to_owned());
    };
    if part.contains([',', '.']) || whole.contains('.') {
        return Err(unreadable(written));
    }
    if part.len() == 3 && !whole.is_empty() && !whole.starts_with('0') {
        return Err(LengthError::AmbiguousComma {
            text: written.to_owned(),
            with_point: format!("{whole}.{part}"),
            without: format!("{whole}{part}"),
        });
    }
    Ok(format!("{whole}.{part}"))
}
