//! Who wrote an answer, on which device, and when: what a person goes by who settles between two.

use crate::words::{when, writer};
use holebook_core::hole::record::{Answers, Said};
use holebook_core::notebook::{DeviceId, Notebook, NotebookError};
use std::collections::BTreeMap;
use uuid::Uuid;

/// What people call the devices that wrote answers which differ.
#[derive(Default)]
pub struct Writers(BTreeMap<Uuid, String>);

impl Writers {
    /// Looks up the devices of these answers where they differ. Where they agree nothing is looked up.
    pub fn and<T: PartialEq>(
        mut self,
        notebook: &Notebook,
        answers: &Answers<T>,
    ) -> Result<Self, NotebookError> {
        for said in answers.0.iter().filter(|_| answers.differ()) {
            if let Some(name) = notebook.device_name(DeviceId(said.device))? {
                self.0.insert(said.device, name);
            }
        }
        Ok(self)
    }

    /// Who, where and when: `K. Bench, on Shop computer, 25 Nov 2026, 14:02`.
    pub fn words<T>(&self, said: &Said<T>) -> String {
        let named = self.0.get(&said.device).filter(|name| !name.is_empty());
        let device = match named {
            Some(name) => format!("on {name}"),
            None => "on a device without a name".to_owned(),
        };
        format!("{}, {device}, {}", writer(&said.by), when(&said.at))
    }
}
