//! What goes over the wire, as both ends know it.
//!
//! ```text
//! POST /pair                          {"secret": .., "name": ..} -> {"token": .., "name": ..}
//! GET  /shelf                         what lies on it, a line each; its state is the ETag
//! GET  /journal/<device>/<file>?from= lines of that stretch from a number on
//! PUT  /journal/<device>/<file>       lines of that stretch
//! GET  /photos/<hash>                 a photo
//! PUT  /photos/<hash>                 a photo
//! POST /done                          the exchange came to its end
//! ```

use holebook_core::exchange::{PIECE_BYTES, Stretch, Survey};
use holebook_core::notebook::LONGEST_LINE;
use holebook_core::photo::PhotoHash;
use serde::{Deserialize, Serialize};
use std::io::{self, BufRead};

pub(crate) const PAIR: &str = "/pair";
pub(crate) const SHELF: &str = "/shelf";
pub(crate) const DONE: &str = "/done";
pub(crate) const PHOTOS: &str = "photos/";
/// The name of the number in the query of a request for lines.
pub(crate) const FROM: &str = "from";

/// The most bytes of lines in one request or answer: a piece, or a line that alone is longer, with its line break.
pub(crate) const LINES_BYTES: u64 = (PIECE_BYTES + LONGEST_LINE + 1) as u64;
/// The most bytes of a request to pair, of the answer, and of a sentence that says why not.
pub(crate) const SMALL_BYTES: u64 = 4096;
/// The most bytes of a survey that are read: some 400 000 photos.
pub(crate) const SURVEY_BYTES: u64 = 32 << 20;

/// What a device that wants to be paired shows.
#[derive(Serialize, Deserialize)]
pub(crate) struct PairAsk {
    pub secret: String,
    pub name: String,
}

/// What it gets for it.
#[derive(Serialize, Deserialize)]
pub(crate) struct PairAnswer {
    pub token: String,
    pub name: String,
}

/// Writes what lies on the shelf, a line each: `journal/<device>/<file>` for lines, `photos/<hash> <bytes>` for photos.
pub(crate) fn write_survey(survey: &Survey) -> String {
    let stretches = survey
        .stretches
        .iter()
        .map(|stretch| format!("{stretch}\n"));
    let photos = survey.photos.iter();
    let photos = photos.map(|(photo, bytes)| format!("{PHOTOS}{photo} {bytes}\n"));
    stretches.chain(photos).collect()
}

/// Reads what [`write_survey`] wrote. A line that is neither is passed over: a newer shop computer may have more to say.
///
/// # Errors
/// Where it cannot be read, is longer than [`SURVEY_BYTES`], or is no text.
pub(crate) fn read_survey(from: impl BufRead, state: Option<String>) -> io::Result<Survey> {
    let mut survey = Survey {
        state,
        ..Survey::default()
    };
    let mut bounded = from.take(SURVEY_BYTES + 1);
    let mut line = String::new();
    while bounded.read_line(&mut line)? > 0 {
        if let Ok(stretch) = line.trim_end().parse::<Stretch>() {
            survey.stretches.insert(stretch);
        } else if let Some((photo, bytes)) = photo_of(line.trim_end()) {
            survey.photos.insert(photo, bytes);
        }
        line.clear();
    }
    if bounded.limit() == 0 {
        return Err(io::Error::other("its list is longer than any shelf's"));
    }
    Ok(survey)
}

fn photo_of(line: &str) -> Option<(PhotoHash, u64)> {
    let (hash, bytes) = line.strip_prefix(PHOTOS)?.split_once(' ')?;
    Some((hash.parse().ok()?, bytes.parse().ok()?))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use holebook_core::notebook::{DeviceId, Head, LineHash};

    #[test]
    fn a_survey_reads_back() {
        let mut survey = Survey {
            state: Some("x".into()),
            ..Survey::default()
        };
        for seq in [1, 5, 900] {
            let (device, hash) = (DeviceId::fresh(), LineHash::of("line"));
            let head = Head { device, seq, hash };
            survey.stretches.insert(Stretch::to(&head, 1));
            survey.photos.insert(PhotoHash::of(&seq.to_be_bytes()), seq);
        }
        let text = write_survey(&survey);
        let more = format!("{text}a line of a newer one\nphotos/../x 4\nphotos/ 3\n");
        for text in [&text, &more] {
            let read = read_survey(text.as_bytes(), Some("x".into())).unwrap();
            assert_eq!(read, survey);
        }
    }

    #[test]
    fn a_list_without_end_is_not_read_to_its_end() {
        let endless = io::BufReader::new(io::repeat(b'x'));
        assert!(read_survey(endless, None).is_err());
        let endless = io::BufReader::new(io::repeat(b'\n'));
        assert!(read_survey(endless, None).is_err());
    }
}
