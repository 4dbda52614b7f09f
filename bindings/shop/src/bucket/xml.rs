//! Reading a list that a store wrote as XML: item after item as it comes, so that a long one takes no room.
//!
//! Nothing that an answer declares is followed: no entities of its own, no other documents. Elements are known by their local
//! names; what is nested deeper, longer or more than any store writes is refused or passed over.

use quick_xml::Reader;
use quick_xml::escape::resolve_xml_entity;
use quick_xml::events::{BytesRef, Event};
use std::collections::BTreeMap;
use std::io::BufRead;

/// How deep elements may lie in each other.
const DEEPEST: usize = 24;
/// The longest text of an element that is of use, in bytes.
const LONGEST: usize = 4096;
/// The most elements of an item that are kept.
const MOST: usize = 40;

/// The texts of the elements of an item by their local names, the first of each.
pub type Texts = BTreeMap<String, String>;

/// Why a list cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum Flaw {
    /// It is no XML, or breaks off.
    #[error("what it sent is no list, or breaks off")]
    NotXml,
    /// It declares or nests what no store does.
    #[error("what it sent is made as no list is")]
    Strange,
    /// It did not come whole.
    #[error("{0}")]
    Read(std::io::Error),
}

/// Reads a document: calls `each` for every element `item`, with what lies in it, and gives what else there is, with the
/// document's own name under `""`.
///
/// # Errors
/// Where it is no XML, breaks off, or is made as no list is.
pub fn read(from: impl BufRead, item: &str, mut each: impl FnMut(Texts)) -> Result<Texts, Flaw> {
    let mut reader = Reader::from_reader(from);
    let mut list = List {
        item,
        ..List::default()
    };
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer).map_err(flaw)? {
            Event::Start(element) => list.begin(element.local_name().as_ref())?,
            Event::Empty(element) => {
                list.begin(element.local_name().as_ref())?;
                list.end().into_iter().for_each(&mut each);
            }
            Event::End(_) => list.end().into_iter().for_each(&mut each),
            Event::Text(text) => list.say(&text),
            Event::CData(text) => list.say(&text),
            Event::GeneralRef(reference) => list.say(&resolved(&reference)?),
            Event::DocType(_) => return Err(Flaw::Strange),
            Event::Decl(_) | Event::PI(_) | Event::Comment(_) => {}
            Event::Eof if list.is_whole() => return Ok(list.around),
            Event::Eof => return Err(Flaw::NotXml),
        }
    }
}

/// A list as far as it was read.
#[derive(Default)]
struct List<'a> {
    item: &'a str,
    /// The names of the elements that are open.
    open: Vec<String>,
    /// What the innermost of them says.
    text: String,
    /// What lies in the item that is open, and what lies around items.
    within: Option<Texts>,
    around: Texts,
}

impl List<'_> {
    fn begin(&mut self, name: &str) -> Result<(), Flaw> {
        let second = self.open.is_empty() && !self.around.is_empty();
        if self.open.len() >= DEEPEST || second {
            return Err(Flaw::Strange);
        }
        if self.open.is_empty() {
            self.around.insert(String::new(), name.to_owned());
        } else if name == self.item && self.within.is_none() {
            self.within = Some(Texts::new());
        }
        self.open.push(name.to_owned());
        self.text.clear();
        Ok(())
    }

    /// Ends the innermost element; gives what lies in it where it is an item.
    fn end(&mut self) -> Option<Texts> {
        let name = self.open.pop()?;
        let text = std::mem::take(&mut self.text);
        let is_open = self.open.iter().skip(1).any(|open| open == self.item);
        if name == self.item && !is_open && self.within.is_some() {
            return self.within.take();
        }
        let texts = self.within.as_mut().unwrap_or(&mut self.around);
        if texts.len() < MOST && text.len() <= LONGEST {
            let text = text.trim().to_owned();
            texts
                .entry(name)
                .and_modify(|before| {
                    if before.is_empty() {
                        before.clone_from(&text)
                    }
                })
                .or_insert(text);
        }
        None
    }

    /// What is longer than anything of use is kept just so long that this shows.
    fn say(&mut self, text: &str) {
        if self.text.len() <= LONGEST {
            self.text.push_str(text);
        }
    }

    fn is_whole(&self) -> bool {
        self.open.is_empty() && !self.around.is_empty()
    }
}

fn resolved(reference: &BytesRef<'_>) -> Result<String, Flaw> {
    if let Some(letter) = reference.resolve_char_ref().map_err(flaw)? {
        return Ok(letter.to_string());
    }
    resolve_xml_entity(reference)
        .map(str::to_owned)
        .ok_or(Flaw::Strange)
}

fn flaw(error: quick_xml::Error) -> Flaw {
    match error {
        quick_xml::Error::Io(error) => {
            Flaw::Read(std::io::Error::new(error.kind(), error.to_string()))
        }
        _ => Flaw::NotXml,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn items(text: &str, item: &str) -> Result<(Vec<Texts>, Texts), Flaw> {
        let mut items = Vec::new();
        let around = read(text.as_bytes(), item, |texts| items.push(texts))?;
        Ok((items, around))
    }

    #[test]
    fn a_list_is_read_item_after_item() {
        let text = "<?xml version='1.0'?><L xmlns='x'><T>true</T><C><K>a&amp;b&#x41;</K><S> 5 </S><O><K>other</K></O></C><C/><N><![CDATA[n]]></N></L>";
        let (items, around) = items(text, "C").unwrap();
        assert_eq!(items.len(), 2);
        assert_eq!(
            (items[0]["K"].as_str(), items[0]["S"].as_str()),
            ("a&bA", "5")
        );
        assert!(items[1].is_empty());
        assert_eq!(
            (
                around[""].as_str(),
                around["T"].as_str(),
                around["N"].as_str()
            ),
            ("L", "true", "n")
        );
    }

    #[test]
    fn an_empty_text_gives_way_to_one_that_says_something() {
        let text =
            "<d:m xmlns:d='DAV:'><d:r><d:p><d:len/></d:p><d:p><d:len>7</d:len></d:p></d:r></d:m>";
        let (items, _) = items(text, "r").unwrap();
        assert_eq!(items[0]["len"], "7");
    }

    #[test]
    fn what_is_no_whole_list_is_refused() {
        let deep = "<a>".repeat(100_000);
        let text = "<L><C><K>a</K></C><C><K>b</K></C></L>";
        for cut in 0..text.len() {
            assert!(items(&text[..cut], "C").is_err(), "{cut}");
        }
        for bad in [
            "",
            "text",
            "<L></M>",
            "<L/><L/>",
            "<L>&ours;</L>",
            &deep,
            "<!DOCTYPE L [<!ENTITY a 'aaaa'>]><L>&a;</L>",
            "<!DOCTYPE L SYSTEM 'file:///etc/passwd'><L/>",
            "<html><p>unclosed</html>",
        ] {
            assert!(items(bad, "C").is_err(), "{bad:.40}");
        }
    }

    #[test]
    fn what_is_longer_or_more_than_anything_of_use_is_passed_over() {
        let long = "x".repeat(LONGEST + 1);
        let many: String = (0..1000).map(|number| format!("<E{number}/>")).collect();
        let (items, _) = items(
            &format!("<L><C><K>{long}</K><S>1</S></C><C>{many}</C></L>"),
            "C",
        )
        .unwrap();
        assert_eq!((items[0].get("K"), items[0]["S"].as_str()), (None, "1"));
        assert!(items[1].len() <= MOST);
    }
}
