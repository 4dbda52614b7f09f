//! A shelf that answers what it likes: lists of what it has not, lines of others, photos under wrong names.

use super::bundle::photos_are_as_named;
use super::chain::{self, Saying, Writer};
use super::history::is_sound;
use super::photo::SMALL;
use super::scratch::Scratch;
use super::{Reader, names, shapes};
use arbitrary::{Result, Unstructured};
use holebook_core::exchange::{
    ExchangeError, Problem, Shelf, Stretch, Survey, exchange_over, unwatched,
};
use holebook_core::notebook::{DeviceId, Entry, Head, Line, LineHash};
use holebook_core::photo::PhotoHash;
use serde_json::json;
use std::io::{self, Read, Write};
use std::sync::Mutex;

pub const READER: Reader = Reader {
    name: "shelf",
    give,
    examples,
};

/// An exchange with any shelf ends, loses nothing of what was here, and leaves the notebook sound and its photos as named.
fn give(bytes: &[u8]) {
    let mut u = Unstructured::new(bytes);
    let here = Scratch::new();
    let sample = chain::sample(names::device(9));
    let known = u.int_in_range(0..=sample.len()).unwrap_or(0);
    here.notebook
        .take(&sample[..known])
        .expect("the sample's lines");
    let own = here.notebook.device().expect("a notebook that reads");
    let shelf = Liar::made(&mut u, own).unwrap_or_default();
    for _ in 0..2 {
        match exchange_over(&here.notebook, &shelf, &unwatched) {
            Ok(report) => {
                for problem in report.problems {
                    assert!(
                        !problem.why.is_empty() && !problem.to_string().contains('\n'),
                        "{problem}"
                    );
                }
            }
            Err(error) => assert!(
                shelf.fails,
                "an exchange goes on past what cannot be taken: {error}"
            ),
        }
    }
    for line in &sample[..known] {
        assert!(here.notebook.holds(line).expect("a notebook that reads"));
    }
    is_sound(&here.notebook);
    photos_are_as_named(&here.notebook);
}

/// The shelf.
#[derive(Debug, Default)]
struct Liar {
    survey: Survey,
    /// Answers to requests for lines, used in turn.
    lines: Vec<Vec<u8>>,
    photos: Vec<Vec<u8>>,
    /// Whether it breaks off now and then.
    fails: bool,
    asked: Mutex<usize>,
}

impl Liar {
    fn made(u: &mut Unstructured<'_>, own: DeviceId) -> Result<Self> {
        let mut shelf = Self {
            fails: u.ratio(1, 8)?,
            ..Self::default()
        };
        for number in 0..u.int_in_range(0..=3_u64)? {
            let device = if u.ratio(1, 4)? {
                own
            } else {
                names::device(u.int_in_range(0..=9)?)
            };
            let lines = lines(u, device, number)?;
            let Some(last) = lines.last() else { continue };
            let mut stretch = Stretch::to(&head(last), u.int_in_range(1..=last.entry().seq)?);
            if u.ratio(1, 4)? {
                stretch.last = stretch
                    .last
                    .saturating_add(u.arbitrary::<u64>()?)
                    .min(i64::MAX as u64);
            }
            shelf.survey.stretches.insert(stretch);
            let mut text = chain::text_of(&lines).into_bytes();
            if u.ratio(1, 4)? {
                let at = u.choose_index(text.len())?;
                text[at] = u.arbitrary()?;
            }
            shelf.lines.push(text);
        }
        let photos: [&[u8]; 3] = [SMALL, b"a photo", b""];
        for photo in photos {
            if u.ratio(1, 2)? {
                let bytes = if u.ratio(1, 4)? {
                    u.arbitrary()?
                } else {
                    photo.len() as u64
                };
                shelf.survey.photos.insert(PhotoHash::of(photo), bytes);
                shelf
                    .photos
                    .push(if u.ratio(1, 2)? { SMALL } else { photo }.to_vec());
            }
        }
        shelf.survey.state = u.ratio(1, 2)?.then(|| "state".to_owned());
        Ok(shelf)
    }

    /// The next of these answers.
    fn next<'a>(
        &self,
        answers: &'a [Vec<u8>],
        stop: &str,
    ) -> std::result::Result<&'a [u8], ExchangeError> {
        let mut asked = self.asked.lock().expect("nobody panicked with it");
        *asked += 1;
        if self.fails && asked.is_multiple_of(3) {
            return Err(ExchangeError::from_io(
                &io::ErrorKind::UnexpectedEof.into(),
                "the shelf",
                stop,
            ));
        }
        match answers.len() {
            0 => Err(ExchangeError::File(Problem {
                file: stop.to_owned(),
                why: "it is not there".to_owned(),
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

/// Some lines of a device, with photos named in them; now and then with a number that is not the next.
fn lines(u: &mut Unstructured<'_>, device: DeviceId, number: u64) -> Result<Vec<Line>> {
    let mut writer = Writer::new(device);
    let sample = shapes::sample();
    let mut lines = Vec::new();
    for at in 0..u.int_in_range(1..=5_u64)? {
        let (kind, subject, mut body) = u.choose(&sample)?.clone();
        if body.get("hash").is_some() && u.arbitrary()? {
            body["hash"] = json!(PhotoHash::of(SMALL).to_string());
        }
        lines.extend(writer.write(Saying {
            id: names::entry(100 + 8 * number + at),
            kind: kind.word().to_owned(),
            subject,
            body,
            replaces: vec![],
        }));
    }
    if u.ratio(1, 8)? {
        lines.extend(far_away(u, lines.last())?);
    }
    Ok(lines)
}

/// A line that says to be the number-so-and-so of its device, after one that nobody has.
fn far_away(u: &mut Unstructured<'_>, like: Option<&Line>) -> Result<Option<Line>> {
    let seq = u.int_in_range(2..=i64::MAX as u64)?;
    let line = like.and_then(|line| {
        Line::write(&Entry {
            id: names::entry(500),
            seq,
            prev: Some(LineHash::of("a line that nobody has")),
            ..line.entry().clone()
        })
        .ok()
    });
    Ok(line)
}

impl Shelf for Liar {
    fn id(&self) -> String {
        "liar".to_owned()
    }

    fn name(&self) -> String {
        "the shelf that lies".to_owned()
    }

    fn survey(&self, known: Option<&str>) -> std::result::Result<Option<Survey>, ExchangeError> {
        let same = known.is_some() && known == self.survey.state.as_deref();
        Ok((!same).then(|| self.survey.clone()))
    }

    fn lines(&self, stretch: &Stretch, _from: u64) -> std::result::Result<Vec<u8>, ExchangeError> {
        self.next(&self.lines, &stretch.to_string())
            .map(<[u8]>::to_vec)
    }

    fn leave_lines(
        &self,
        _stretch: &Stretch,
        _lines: &[u8],
    ) -> std::result::Result<(), ExchangeError> {
        Ok(())
    }

    fn photo(
        &self,
        photo: &PhotoHash,
        into: &mut dyn Write,
    ) -> std::result::Result<(), ExchangeError> {
        let bytes = self.next(&self.photos, &format!("photos/{photo}"))?;
        into.write_all(bytes)
            .map_err(|error| ExchangeError::from_io(&error, "the shelf", "a photo"))
    }

    fn leave_photo(
        &self,
        _photo: &PhotoHash,
        _bytes: u64,
        from: &mut dyn Read,
    ) -> std::result::Result<(), ExchangeError> {
        let read = io::copy(from, &mut io::sink());
        read.map(drop)
            .map_err(|error| ExchangeError::from_io(&error, "the shelf", "a photo"))
    }
}

fn examples() -> Vec<Vec<u8>> {
    (super::history::READER.examples)()
}
