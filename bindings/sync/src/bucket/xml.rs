//! Parses a store's XML listing item by item as it arrives, so that memory use does not grow with
//! its length.
//!
//! Nothing that a response declares is followed: no custom entities, no external documents.
//! Elements are known by their local names; what is nested deeper, longer or more than in any real
//! listing is rejected or ignored.

use quick_xml::Reader;
use quick_xml::escape::resolve_xml_entity;
use quick_xml::events::{BytesRef, Event};
use std::collections::BTreeMap;
use std::io::BufRead;

/// Maximum nesting depth.
const MAX_DEPTH: usize = 24;
/// The longest text of an element that is kept, in bytes.
const MAX_TEXT_BYTES: usize = 4096;
/// The most elements kept per item.
const MAX_ELEMENTS: usize = 40;

/// The texts of an item's elements by local name, the first of each.
pub type Texts = BTreeMap<String, String>;

/// Why a listing cannot be parsed.
#[derive(Debug, thiserror::Error)]
pub enum XmlError {
    /// Not XML, or truncated.
    #[error("its listing is not XML or is truncated")]
    NotXml,
    /// It declares or nests what no store does.
    #[error("its listing has an unexpected form")]
    Unexpected,
    /// Reading failed.
    #[error("{0}")]
    Read(std::io::Error),
}

/// Parses a document: calls `each` for every element `item` with its texts, and returns the texts
/// outside of items, with the root element's name under `""`.
///
/// # Errors
/// If it is not XML, truncated, or has an unexpected form.
pub fn read(
    from: impl BufRead,
    item: &str,
    mut each: impl FnMut(Texts),
) -> Result<Texts, XmlError> {
    let mut reader = Reader::from_reader(from);
    let mut list = ListParser {
        item,
        ..ListParser::default()
    };
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer).map_err(xml_error)? {
            Event::Start(element) => list.start_element(element.local_name().as_ref())?,
            Event::Empty(element) => {
                list.start_element(element.local_name().as_ref())?;
                list.end_element().into_iter().for_each(&mut each);
            }
            Event::End(_) => list.end_element().into_iter().for_each(&mut each),
            Event::Text(text) => list.text(&text),
            Event::CData(text) => list.text(&text),
            Event::GeneralRef(reference) => list.text(&resolved(&reference)?),
            Event::DocType(_) => return Err(XmlError::Unexpected),
            Event::Decl(_) | Event::PI(_) | Event::Comment(_) => {}
            Event::Eof if list.is_complete() => return Ok(list.outside),
            Event::Eof => return Err(XmlError::NotXml),
        }
    }
}

/// A partly parsed listing.
#[derive(Default)]
struct ListParser<'a> {
    item: &'a str,
    /// The names of the open elements.
    open: Vec<String>,
    /// The text of the innermost one.
    text: String,
    /// The texts of the open item, and those outside of items.
    current_item: Option<Texts>,
    outside: Texts,
}

impl ListParser<'_> {
    fn start_element(&mut self, name: &str) -> Result<(), XmlError> {
        let second = self.open.is_empty() && !self.outside.is_empty();
        if self.open.len() >= MAX_DEPTH || second {
            return Err(XmlError::Unexpected);
        }
        if self.open.is_empty() {
            self.outside.insert(String::new(), name.to_owned());
        } else if name == self.item && self.current_item.is_none() {
            self.current_item = Some(Texts::new());
        }
        self.open.push(name.to_owned());
        self.text.clear();
        Ok(())
    }

    /// Ends the innermost element; returns its texts if it is an item.
    fn end_element(&mut self) -> Option<Texts> {
        let name = self.open.pop()?;
        let text = std::mem::take(&mut self.text);
        let is_open = self.open.iter().skip(1).any(|open| open == self.item);
        if name == self.item && !is_open && self.current_item.is_some() {
            return self.current_item.take();
        }
        let texts = self.current_item.as_mut().unwrap_or(&mut self.outside);
        if texts.len() < MAX_ELEMENTS && text.len() <= MAX_TEXT_BYTES {
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

    /// Text that is too long is kept just long enough to notice that.
    fn text(&mut self, text: &str) {
        if self.text.len() <= MAX_TEXT_BYTES {
            self.text.push_str(text);
        }
    }

    fn is_complete(&self) -> bool {
        self.open.is_empty() && !self.outside.is_empty()
    }
}

fn resolved(reference: &BytesRef<'_>) -> Result<String, XmlError> {
    if let Some(letter) = reference.resolve_char_ref().map_err(xml_error)? {
        return Ok(letter.to_string());
    }
    resolve_xml_entity(reference)
        .map(str::to_owned)
        .ok_or(XmlError::Unexpected)
}

fn xml_error(error: quick_xml::Error) -> XmlError {
    match error {
        quick_xml::Error::Io(error) => {
            XmlError::Read(std::io::Error::new(error.kind(), error.to_string()))
        }
        _ => XmlError::NotXml,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn items(text: &str, item: &str) -> Result<(Vec<Texts>, Texts), XmlError> {
        let mut items = Vec::new();
        let outside = read(text.as_bytes(), item, |texts| items.push(texts))?;
        Ok((items, outside))
    }

    #[test]
    fn listing_is_parsed_item_by_item() {
        let text = "<?xml version='1.0'?><L xmlns='x'><T>true</T><C><K>a&amp;b&#x41;</K><S> 5 </S><O><K>other</K></O></C><C/><N><![CDATA[n]]></N></L>";
        let (items, outside) = items(text, "C").unwrap();
        assert_eq!(items.len(), 2);
        assert_eq!(
            (items[0]["K"].as_str(), items[0]["S"].as_str()),
            ("a&bA", "5")
        );
        assert!(items[1].is_empty());
        assert_eq!(
            (
                outside[""].as_str(),
                outside["T"].as_str(),
                outside["N"].as_str()
            ),
            ("L", "true", "n")
        );
    }

    #[test]
    fn nonempty_text_replaces_an_empty_one() {
        let text =
            "<d:m xmlns:d='DAV:'><d:r><d:p><d:len/></d:p><d:p><d:len>7</d:len></d:p></d:r></d:m>";
        let (items, _) = items(text, "r").unwrap();
        assert_eq!(items[0]["len"], "7");
    }

    #[test]
    fn incomplete_listing_is_rejected() {
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
    fn too_long_or_too_many_elements_are_ignored() {
        let long = "x".repeat(MAX_TEXT_BYTES + 1);
        let many: String = (0..1000).map(|number| format!("<E{number}/>")).collect();
        let (items, _) = items(
            &format!("<L><C><K>{long}</K><S>1</S></C><C>{many}</C></L>"),
            "C",
        )
        .unwrap();
        assert_eq!((items[0].get("K"), items[0]["S"].as_str()), (None, "1"));
        assert!(items[1].len() <= MAX_ELEMENTS);
    }
}
