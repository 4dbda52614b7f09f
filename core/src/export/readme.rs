//! The text that explains an export.

use super::Exported;
use super::table::Cells;
use super::tables::TABLES;
use crate::display_name::shown;
use crate::notebook::{Settings, now};

/// The file.
pub(super) const FILE: &str = "README.txt";

/// Returns the text.
pub(super) fn text(settings: &Settings, exported: Exported) -> String {
    let mut text = head(settings, exported);
    text += TABLES_HEAD;
    for table in TABLES {
        text += &format!("\n{}\n  Each row: {}.\n", table.file, table.rows);
        for column in table.columns {
            let name = match column.cells {
                Cells::Plain => column.name.to_owned(),
                Cells::Length => format!("{0}_mm, {0}_in", column.name),
            };
            text += &format!("  {name}: {}\n", column.meaning);
        }
    }
    text + JOURNAL
}

fn head(settings: &Settings, exported: Exported) -> String {
    let Exported {
        entries,
        holes,
        photos,
        photos_missing,
    } = exported;
    let by = match settings.person.as_str() {
        "" => String::new(),
        person => format!(" by {}", shown(person)),
    };
    let missing = match photos_missing {
        0 => String::new(),
        missing => format!(
            "\nPhotos that its entries name and that were not on the device: {missing}. They are not here."
        ),
    };
    format!(
        "A NOTEBOOK OF THREADED HOLES IN CASTINGS, EXPORTED\n\n\
         Exported on {}{by}. Entries: {entries}. Holes: {holes}. Photos: {photos}.{missing}\n\n\
         Everything in this folder can be read with a text editor, a spreadsheet, and a picture viewer.\n\
         It is a copy: the notebook does not read it back. It holds names of people, and photos with\n\
         whatever data the notebook kept in them. Anyone who has the folder can read all of it.\n\n\
         Caution: figures in it rest on what people measured and wrote down. Before anybody works on the\n\
         machine, its manual, local codes, and licensed practice come first.\n\n\
         photos/        the photos as the notebook holds them, named by the SHA-256 of their content\n\
         journal.jsonl  the notebook itself: every entry ever recorded; see the end of this text\n\
         *.csv          tables made from it, described below\n",
        now().format("%Y-%m-%d %H:%M %:z")
    )
}

const TABLES_HEAD: &str = "\n\
    TABLES\n\n\
    Text is UTF-8 with a byte order mark; cells are separated by commas, rows end with CR LF (RFC 4180).\n\
    Lengths come twice: _mm in millimeters, exact; _in in inches, to a millionth. A cell is empty where\n\
    nothing was recorded, which is not the same as zero. An apostrophe before a text that begins with\n\
    = + - or @ is not part of it: it keeps a spreadsheet from working the text out as a formula.\n\
    In a spreadsheet, import threads such as 1/4-20 as text, or it may take them for dates.\n";

const JOURNAL: &str = "\n\
    JOURNAL.JSONL\n\n\
    Each line is one entry, a JSON object. Entries are never changed; a wrong one is struck out by a later\n\
    one, and stays.\n\
    \x20 id        the entry's id (a version 7 UUID)\n\
    \x20 device    the device that wrote it\n\
    \x20 seq       its number among that device's entries: 1, 2, 3, without gaps\n\
    \x20 at        time by that device's clock\n\
    \x20 by        the person\n\
    \x20 kind      what kind of entry it is\n\
    \x20 subject   the id of the casting, face, photo, hole or device that it is about\n\
    \x20 body      what it says. The unit ends a name: _mm millimeters, _nm newton meters, _px pixels\n\
    \x20 replaces  the ids of the entries that it replaces\n\
    \x20 prev      the SHA-256 of that device's line before it (the line's bytes, without the line break);\n\
    \x20           null for its first. Whoever works it out again sees whether a line was changed or lost\n\
    \x20 seen      what its writer had seen of other devices' entries\n\
    \x20 corrects  the entry that it corrects, if any\n";
