//! The next question about a hole.

use crate::entries::HoleEntry;
use crate::error::NotebookError;
use crate::guard::guard;
use crate::ids::{EntryId, HoleId};
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::record::{MeasuringTool, Quantity, RemedySpec};
use holebook_core::length::Length;

lend! {
    holebook_core::hole::next_question {
        NextQuestion,
        Topic,
    }
}

lend! {
    holebook_core::notebook {
        AskedQuestion,
        LikelyAnswer,
    }
}

/// What a question asks, as a short instruction.
#[uniffi::export]
pub fn topic_sentence(topic: Topic) -> Result<String, NotebookError> {
    guard("topic_sentence", || Ok(topic.to_string()))
}

#[uniffi::export]
impl Notebook {
    /// The next question about a hole, with likely answers and the tools to measure with; none if no
    /// answer would change what is done to it. Topics in `skipped` are not asked. Blocks while it
    /// reads the hole and computes. Fails with `NoSuch`.
    #[uniffi::method(default(skipped = []))]
    pub fn next_question(
        &self,
        hole: HoleId,
        skipped: Vec<Topic>,
    ) -> Result<Option<AskedQuestion>, NotebookError> {
        self.call("next_question", |open| {
            Ok(open.next_question(hole, &skipped.into_iter().collect())?)
        })
    }
}
