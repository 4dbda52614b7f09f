//! The castings that a command is for, by name or id.

use super::name_given;
use crate::failure::Failure;
use holebook_core::notebook::{CastingSummary, Notebook, WorkScope};

/// Finds the castings that are named; all of the notebook if none is.
///
/// # Errors
/// If there is no such casting, or if a name is that of several.
pub fn castings(notebook: &Notebook, named: &[String]) -> Result<WorkScope, Failure> {
    if named.is_empty() {
        return Ok(WorkScope::All);
    }
    let all = notebook.castings()?;
    let found = named.iter().map(|name| Ok(casting(&all, name)?.id));
    Ok(WorkScope::Castings(found.collect::<Result<_, Failure>>()?))
}

/// Finds a casting by name or id.
///
/// # Errors
/// If there is no such casting, or if the name is that of several.
pub fn casting<'a>(all: &'a [CastingSummary], name: &str) -> Result<&'a CastingSummary, Failure> {
    let names = "`holebook list` shows names, and ids with --json";
    name_given("name of the casting", name, names)?;
    let mut fitting = all
        .iter()
        .filter(|casting| casting.name == name || casting.id.to_string() == name);
    match (fitting.next(), fitting.next()) {
        (Some(casting), None) => Ok(casting),
        (Some(_), Some(_)) => Err(Failure::Message(format!(
            "several castings are called `{name}`; give an id that `holebook list --json` shows"
        ))),
        (None, _) => Err(Failure::Message(format!(
            "the notebook has no casting `{name}`; {names}"
        ))),
    }
}
