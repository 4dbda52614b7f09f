//! Adding one item to the drawer: a small form for each group.

use super::{FormContext, at, change};
use crate::carrier::Request;
use crate::form::{Form, FormError, degrees, hidden, length, required_length, required_text};
use crate::form_names::{Field, FormName};
use crate::notices::Notice;
use holebook_core::drawer::{
    BoltItem, CountersinkItem, Group, InsertItem, InstallTool, Item, ItemCount, TapItem,
};
use holebook_core::drill::Drill;
use holebook_core::insert::{Family, TapChamfer};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::Notebook;
use holebook_core::thread::Thread;
use maud::{Markup, html};

/// The groups of the page. Shop-made parts are made for one hole, so they have no place in it.
pub const GROUPS: [Group; 9] = [
    Group::Drills,
    Group::Taps,
    Group::Inserts,
    Group::Countersinks,
    Group::InstallTools,
    Group::Gauges,
    Group::Consumables,
    Group::Bolts,
    Group::OtherTools,
];

const DRILL: &str = "Drill";
const THREAD: &str = "Thread";
const OUTSIDE: &str = "Thread in the casting";
const LENGTH: &str = "Length";
const DIAMETER: &str = "Largest diameter";
const ANGLE: &str = "Included angle (degrees)";
const NAME: &str = "Name";
const COUNT: &str = "How many";

/// The form that adds an item to a group, folded.
pub fn form(group: Group, context: FormContext<'_>) -> Markup {
    let of_group = move |request: &Request| request.field(Field::Kind) == Some(group.word());
    let form = context.form_where(group.word(), FormName::AddItem, of_group);
    html! {
        details open[form.is_rejected()] {
            summary { "Add one" span.visually-hidden { " to " (group.label()) } }
            form method="post" action=(FormName::AddItem.address()) {
                (hidden(Field::Kind, group.word()))
                div.fields {
                    (fields(group, form))
                    (form.text(Field::Count, COUNT, None, "blank = 1"))
                }
                p { button { "Add" span.visually-hidden { " to " (group.label()) } } }
            }
        }
    }
}

fn fields(group: Group, form: Form<'_>) -> Markup {
    let thread = || form.text(Field::Thread, THREAD, None, "for the bolt: 3/8-16, M10");
    html! {
        @match group {
            Group::Drills => (form.text(Field::DrillName, DRILL, None, "29/64, #7, X, 10.2 mm")),
            Group::Taps => {
                (form.text(Field::Thread, THREAD, None, "1/2-13, 3/8-16 STI, M12 LH"))
                (form.select(Field::Chamfer, "Chamfer", Some("plug"), &chamfers()))
            }
            Group::Inserts => {
                (form.select(Field::Family, "Kind of insert", None, &families()))
                (thread())
                (form.length(Field::ItemLength, LENGTH, None, "nominal length"))
                (form.text(Field::OtherThread, OUTSIDE, None, "blank = the one in the tables"))
            }
            Group::Countersinks => {
                (form.text(Field::Angle, ANGLE, None, "82, 90, 120"))
                (form.length(Field::Diameter, DIAMETER, None, ""))
            }
            Group::InstallTools => {
                (form.select(Field::Family, "For", None, &families()))
                (thread())
            }
            Group::Bolts => {
                (thread())
                (form.length(Field::ItemLength, LENGTH, None, "under the head"))
            }
            Group::Gauges => {
                (form.text(Field::Name, NAME, None, "3/8-16 STI plug gauge, 6 in caliper"))
                div.field {
                    label for="gauge-checked" { "Last checked" }
                    input #gauge-checked type="date" name=(Field::Checked.name()) value=[form.typed_value(Field::Checked)];
                }
            }
            Group::Consumables => (form.text(Field::Name, NAME, None, "threadlocker, cleaner, retaining compound")),
            Group::OtherTools | Group::ShopMade => (form.text(Field::Name, NAME, None, "end mill 3/8, mounted grinding points")),
        }
    }
}

fn chamfers() -> Vec<(String, String)> {
    let all = [TapChamfer::Taper, TapChamfer::Plug, TapChamfer::Bottoming];
    all.map(|chamfer| (chamfer.name().to_owned(), chamfer.name().to_owned()))
        .into()
}

/// The families that are bought; bushings are made.
pub fn families() -> Vec<(String, String)> {
    let bought = Family::ALL
        .into_iter()
        .filter(|family| *family != Family::Bushing);
    let named = bought.map(|family| (family.name().to_owned(), family.name().to_owned()));
    named.collect()
}

/// Records the item of the form; returns the address of the next page.
pub fn submit(notebook: &Notebook, request: &Request, unit: Unit) -> Result<String, FormError> {
    let word = request.field(Field::Kind);
    let group = GROUPS.into_iter().find(|group| Some(group.word()) == word);
    let group = group.ok_or_else(|| FormError::new("Choose what to add."))?;
    let item = read_item(notebook, group, request, unit)?;
    let more = read_count(request)?;
    let checked = change::read_date(request)?;
    let known = notebook.on_hand()?;
    let known = known.get(&item);
    let count = ItemCount {
        count: known.map_or(0, |one| one.count).saturating_add(more),
        worn: known.map_or(0, |one| one.worn),
        checked: checked.or(known.and_then(|one| one.checked)),
        item,
    };
    notebook.set_on_hand(&[count])?;
    Ok(at(group, Notice::ItemAdded))
}

fn read_count(request: &Request) -> Result<u32, FormError> {
    let count = request.field(Field::Count).map(str::parse).transpose();
    let count = count.map_err(|_| FormError::of(Field::Count, COUNT, "enter a whole number"))?;
    Ok(count.unwrap_or(1))
}

fn read_item(
    notebook: &Notebook,
    group: Group,
    request: &Request,
    unit: Unit,
) -> Result<Item, FormError> {
    let name = || required_text(request, Field::Name, NAME);
    Ok(match group {
        Group::Drills => Item::Drill(read_drill(request, required_text)?),
        Group::Taps => Item::Tap(TapItem {
            thread: read_thread(request)?,
            chamfer: read_chamfer(request)?,
        }),
        Group::Inserts => Item::Insert(read_insert(notebook, request, unit)?),
        Group::Countersinks => {
            let angle = degrees(request, Field::Angle, ANGLE)?;
            Item::Countersink(CountersinkItem {
                angle_deg: angle
                    .ok_or_else(|| FormError::of(Field::Angle, ANGLE, "required; enter it"))?,
                diameter: required_length(request, Field::Diameter, DIAMETER, unit)?,
            })
        }
        Group::InstallTools => Item::InstallTool(InstallTool {
            family: read_family(request)?,
            thread: read_thread(request)?,
        }),
        Group::Bolts => Item::Bolt(BoltItem {
            thread: read_thread(request)?,
            length: required_length(request, Field::ItemLength, LENGTH, unit)?,
            threaded_to_head: false,
        }),
        Group::Gauges => Item::named(Item::Gauge, name()?),
        Group::Consumables => Item::named(Item::Consumable, name()?),
        Group::OtherTools | Group::ShopMade => Item::named(Item::OtherTool, name()?),
    })
}

type Required = for<'a> fn(&'a Request, Field, &str) -> Result<&'a str, FormError>;

fn read_drill(request: &Request, required: Required) -> Result<Drill, FormError> {
    let text = required(request, Field::DrillName, DRILL)?;
    Drill::parse(text).map_err(|error| FormError::of(Field::DrillName, DRILL, error))
}

/// Reads the thread of the form.
pub fn read_thread(request: &Request) -> Result<Thread, FormError> {
    let text = required_text(request, Field::Thread, THREAD)?;
    Thread::parse(text).map_err(|error| FormError::of(Field::Thread, THREAD, error))
}

fn read_chamfer(request: &Request) -> Result<TapChamfer, FormError> {
    let word = request.field(Field::Chamfer);
    let mut all = [TapChamfer::Taper, TapChamfer::Plug, TapChamfer::Bottoming].into_iter();
    all.find(|chamfer| Some(chamfer.name()) == word)
        .ok_or_else(|| FormError::of(Field::Chamfer, "Chamfer", "choose one of the list"))
}

/// Reads the family of the form.
pub fn read_family(request: &Request) -> Result<Family, FormError> {
    let text = required_text(request, Field::Family, "Kind of insert")?;
    text.parse()
        .map_err(|error| FormError::of(Field::Family, "Kind of insert", error))
}

/// Reads an insert: its thread in the casting is the one in the tables unless it is typed.
pub fn read_insert(
    notebook: &Notebook,
    request: &Request,
    unit: Unit,
) -> Result<InsertItem, FormError> {
    let (family, thread) = (read_family(request)?, read_thread(request)?);
    let known = notebook.catalog()?.inserts_for(&thread);
    let known: Vec<_> = known.iter().filter(|one| one.family == family).collect();
    let length = read_length(request, unit, || {
        let lengths: Vec<String> = known.iter().map(|one| one.show_length(unit)).collect();
        lengths.join("; ")
    })?;
    let outside = match request.field(Field::OtherThread) {
        Some(typed) if family != Family::WireThread => {
            let outside = Thread::parse(typed)
                .map_err(|error| FormError::of(Field::OtherThread, OUTSIDE, error))?;
            outside.designation()
        }
        _ => {
            let same = known.iter().find(|one| one.length == length);
            let of_family = same.or(known.first()).ok_or_else(|| {
                let why = "the tables have no such insert for this thread; enter its thread in the casting";
                FormError::of(Field::OtherThread, OUTSIDE, why)
            })?;
            of_family.outside.designation.clone()
        }
    };
    Ok(InsertItem {
        family,
        thread,
        outside,
        length,
    })
}

fn read_length(
    request: &Request,
    unit: Unit,
    known: impl Fn() -> String,
) -> Result<Length, FormError> {
    length(request, Field::ItemLength, LENGTH, unit)?.ok_or_else(|| {
        let known = known();
        let hint = match known.is_empty() {
            true => String::new(),
            false => format!("; the tables have {known}"),
        };
        FormError::of(Field::ItemLength, LENGTH, format!("required{hint}"))
    })
}
