//! A notebook as a shelf for others: what it knows they can take, and what they leave it knows at once.
//!
//! Nothing is kept twice, and what it took from a stick or a bucket is there for whoever comes by another way.

use super::Problem;
use super::error::ExchangeError;
use super::piece;
use super::shelf::{PIECE_BYTES, Shelf, Survey};
use super::stretch::Stretch;
use crate::notebook::{Notebook, NotebookError};
use crate::photo::{PhotoError, PhotoHash};
use std::fs::File;
use std::io::{self, Read, Write};

/// A notebook that serves as a shelf.
#[derive(Debug, Clone, Copy)]
pub struct NotebookShelf<'a>(pub &'a Notebook);

impl Shelf for NotebookShelf<'_> {
    fn id(&self) -> String {
        format!("notebook:{}", self.0.dir().display())
    }

    fn name(&self) -> String {
        format!("the notebook in {}", self.0.dir().display())
    }

    fn survey(&self, known: Option<&str>) -> Result<Option<Survey>, ExchangeError> {
        let heads = self.0.heads()?;
        let stretches = heads.iter().map(|head| Stretch::to(head, 1)).collect();
        let mut survey = Survey {
            stretches,
            photos: self.0.photo_sizes()?,
            ..Survey::default()
        };
        let state = survey.word();
        if known == Some(&state) {
            return Ok(None);
        }
        survey.state = Some(state);
        Ok(Some(survey))
    }

    fn lines(&self, stretch: &Stretch, from: u64) -> Result<Vec<u8>, ExchangeError> {
        let mut ends = self.0.numbered(stretch.device, stretch.last)?.into_iter();
        let end = ends
            .find(|end| stretch.end.is_of(end.hash))
            .filter(|_| (stretch.first..=stretch.last).contains(&from))
            .ok_or_else(|| gone(stretch, "there are no such lines"))?;
        let (text, _) = self.0.piece(end, from..=end.seq, PIECE_BYTES)?;
        Ok(text)
    }

    fn leave_lines(&self, stretch: &Stretch, lines: &[u8]) -> Result<(), ExchangeError> {
        let read = piece::read(stretch, stretch.first, lines.to_vec());
        let lines = read.map_err(|why| gone(stretch, &why.to_string()))?;
        match self.0.take(&lines) {
            Ok(_) => Ok(()),
            Err(NotebookError::NotTaken(why)) => Err(gone(stretch, &why.to_string())),
            Err(error) => Err(error.into()),
        }
    }

    fn photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), ExchangeError> {
        let file = self.0.photos().original(photo);
        let open = File::open(&file).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => ExchangeError::File(Problem {
                file: format!("photos/{photo}"),
                why: "it is not here".to_owned(),
            }),
            _ => ExchangeError::from_io(&error, &self.name(), &file.display().to_string()),
        });
        io::copy(&mut open?, into).map(drop).map_err(|error| {
            ExchangeError::from_io(&error, &self.name(), &file.display().to_string())
        })
    }

    fn leave_photo(
        &self,
        photo: &PhotoHash,
        _bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), ExchangeError> {
        let adopted = self.0.photos().adopt_from(photo, from);
        adopted.map_err(|error| match error {
            PhotoError::StorageFull { .. } | PhotoError::Storage { .. } => error.into(),
            refused => ExchangeError::File(Problem {
                file: format!("photos/{photo}"),
                why: why_not(&refused).to_owned(),
            }),
        })
    }
}

/// Why a photo is not taken, in words for whoever left it: where this notebook lies is not their affair.
fn why_not(refused: &PhotoError) -> &'static str {
    match refused {
        PhotoError::NotAsNamed { .. } => "its content is not the one that its name says",
        PhotoError::Empty { .. } => "it is empty",
        PhotoError::FileTooLarge { .. } => "it is larger than a photo may be",
        _ => "it did not come whole",
    }
}

fn gone(stretch: &Stretch, why: &str) -> ExchangeError {
    ExchangeError::File(Problem {
        file: stretch.to_string(),
        why: why.to_owned(),
    })
}
