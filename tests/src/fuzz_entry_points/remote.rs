//! A malicious remote: it lists what it does not have, and returns other devices' lines and photos
//! under wrong names.

use super::bundle::assert_photos_match_names;
use super::history::assert_valid;
use super::journal_writer::{self, JournalWriter, LineContent};
use super::photo::SMALL_PHOTO;
use super::temp_notebook::TempNotebook;
use super::{FuzzEntryPoint, entry_bodies, fixed_ids};
use arbitrary::{Result, Unstructured};
use holebook_core::notebook::{DeviceId, Entry, Head, Line, LineHash};
use holebook_core::photo::PhotoHash;
use holebook_core::sync::{
    Listing, Problem, Remote, Segment, SyncError, ignore_progress, sync_with,
};
use serde_json::json;
use std::io::{self, Read, Write};
use std::sync::Mutex;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "remote",
    run,
    examples,
};

/// A sync with any remote ends, loses nothing that was in the notebook, and leaves it valid with
/// photos that match their names.
fn run(bytes: &[u8]) {
    let mut u = Unstructured::new(bytes);
    let here = TempNotebook::new();
    let sample = journal_writer::sample(fixed_ids::device(9));
    let known = u.int_in_range(0..=sample.len()).unwrap_or(0);
    here.notebook
        .import_lines(&sample[..known])
        .expect("the sample's lines");
    let own = here.notebook.device().expect("a readable notebook");
    let remote = LyingRemote::made(&mut u, own).unwrap_or_default();
    for _ in 0..2 {
        match sync_with(&here.notebook, &remote, &ignore_progress) {
            Ok(report) => {
                for problem in report.problems {
                    assert!(
                        !problem.reason.is_empty() && !problem.to_string().contains('\n'),
                        "{problem}"
                    );
                }
            }
            Err(error) => assert!(
                remote.fails,
                "a sync continues past rejected files: {error}"
            ),
        }
    }
    for line in &sample[..known] {
        assert!(here.notebook.holds(line).expect("a readable notebook"));
    }
    assert_valid(&here.notebook);
    assert_photos_match_names(&here.notebook);
}

/// The remote.
#[derive(Debug, Default)]
struct LyingRemote {
    listing: Listing,
    /// Responses to requests for lines, used in turn.
    lines: Vec<Vec<u8>>,
    photos: Vec<Vec<u8>>,
    /// Whether it fails now and then.
    fails: bool,
    asked: Mutex<usize>,
}

impl LyingRemote {
    fn made(u: &mut Unstructured<'_>, own: DeviceId) -> Result<Self> {
        let mut remote = Self {
            fails: u.ratio(1, 8)?,
            ..Self::default()
        };
        for number in 0..u.int_in_range(0..=3_u64)? {
            let device = if u.ratio(1, 4)? {
                own
            } else {
                fixed_ids::device(u.int_in_range(0..=9)?)
            };
            let lines = lines(u, device, number)?;
            let Some(last) = lines.last() else { continue };
            let mut segment =
                Segment::ending_at(&head(last), u.int_in_range(1..=last.entry().seq)?);
            if u.ratio(1, 4)? {
                segment.last = segment
                    .last
                    .saturating_add(u.arbitrary::<u64>()?)
                    .min(i64::MAX as u64);
            }
            remote.listing.segments.insert(segment);
            let mut text = journal_writer::text_of(&lines).into_bytes();
            if u.ratio(1, 4)? {
                let at = u.choose_index(text.len())?;
                text[at] = u.arbitrary()?;
            }
            remote.lines.push(text);
        }
        let photos: [&[u8]; 3] = [SMALL_PHOTO, b"a photo", b""];
        for photo in photos {
            if u.ratio(1, 2)? {
                let bytes = if u.ratio(1, 4)? {
                    u.arbitrary()?
                } else {
                    photo.len() as u64
                };
                remote.listing.photos.insert(PhotoHash::of(photo), bytes);
                remote
                    .photos
                    .push(if u.ratio(1, 2)? { SMALL_PHOTO } else { photo }.to_vec());
            }
        }
        remote.listing.state = u.ratio(1, 2)?.then(|| "state".to_owned());
        Ok(remote)
    }

    /// The next of these responses.
    fn next<'a>(
        &self,
        answers: &'a [Vec<u8>],
        stop: &str,
    ) -> std::result::Result<&'a [u8], SyncError> {
        let mut asked = self.asked.lock().expect("lock not poisoned");
        *asked += 1;
        if self.fails && asked.is_multiple_of(3) {
            return Err(SyncError::from_read(
                &io::ErrorKind::UnexpectedEof.into(),
                "the remote",
                stop,
            ));
        }
        match answers.len() {
            0 => Err(SyncError::File(Problem {
                file: stop.to_owned(),
                reason: "it is not there".to_owned(),
            })),
            many => Ok(&answers[*asked % many]),
        }
    }
}

fn head(line: &Line) -> Head {
    Head {
        device: line.entry().device,
        seq: line.entry().seq,
        hash: line.hash(),
    }
}

/// Some lines of a device, with photos named in them; sometimes with a gap in the sequence numbers.
fn lines(u: &mut Unstructured<'_>, device: DeviceId, number: u64) -> Result<Vec<Line>> {
    let mut writer = JournalWriter::new(device);
    let sample = entry_bodies::sample();
    let mut lines = Vec::new();
    for at in 0..u.int_in_range(1..=5_u64)? {
        let (kind, subject, mut body) = u.choose(&sample)?.clone();
        if body.get("hash").is_some() && u.arbitrary()? {
            body["hash"] = json!(PhotoHash::of(SMALL_PHOTO).to_string());
        }
        lines.extend(writer.write(LineContent {
            id: fixed_ids::entry(100 + 8 * number + at),
            kind: kind.name().to_owned(),
            subject,
            body,
            replaces: vec![],
        }));
    }
    if u.ratio(1, 8)? {
        lines.extend(line_with_gap(u, lines.last())?);
    }
    Ok(lines)
}

/// A line with an arbitrary sequence number, after an unknown line.
fn line_with_gap(u: &mut Unstructured<'_>, like: Option<&Line>) -> Result<Option<Line>> {
    let seq = u.int_in_range(2..=i64::MAX as u64)?;
    let line = like.and_then(|line| {
        Line::write(&Entry {
            id: fixed_ids::entry(500),
            seq,
            prev: Some(LineHash::of("an unknown line")),
            ..line.entry().clone()
        })
        .ok()
    });
    Ok(line)
}

impl Remote for LyingRemote {
    fn id(&self) -> String {
        "liar".to_owned()
    }

    fn name(&self) -> String {
        "the lying remote".to_owned()
    }

    fn list(&self, known: Option<&str>) -> std::result::Result<Option<Listing>, SyncError> {
        let same = known.is_some() && known == self.listing.state.as_deref();
        Ok((!same).then(|| self.listing.clone()))
    }

    fn pull_lines(&self, segment: &Segment, _from: u64) -> std::result::Result<Vec<u8>, SyncError> {
        self.next(&self.lines, &segment.to_string())
            .map(<[u8]>::to_vec)
    }

    fn push_lines(&self, _stretch: &Segment, _lines: &[u8]) -> std::result::Result<(), SyncError> {
        Ok(())
    }

    fn pull_photo(
        &self,
        photo: &PhotoHash,
        into: &mut dyn Write,
    ) -> std::result::Result<(), SyncError> {
        let bytes = self.next(&self.photos, &format!("photos/{photo}"))?;
        into.write_all(bytes)
            .map_err(|error| SyncError::from_read(&error, "the remote", "a photo"))
    }

    fn push_photo(
        &self,
        _photo: &PhotoHash,
        _bytes: u64,
        from: &mut dyn Read,
    ) -> std::result::Result<(), SyncError> {
        let read = io::copy(from, &mut io::sink());
        read.map(drop)
            .map_err(|error| SyncError::from_read(&error, "the remote", "a photo"))
    }
}

fn examples() -> Vec<Vec<u8>> {
    (super::history::ENTRY_POINT.examples)()
}
