//! How the list of holes is sorted and filtered: read from the address, so that a link, a reload
//! and the way back keep it.

use super::facet::{Facet, FacetValue};
use crate::carrier::Request;
use holebook_core::length::Unit;
use holebook_core::notebook::HoleSummary;
use maud::{Markup, html};

/// The order of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Order {
    /// Conflicts and open problems first, then by number.
    #[default]
    Attention,
    Number,
    /// In the order of the work, then by tool.
    Next,
    Tool,
    Condition,
    Stage,
}

impl Order {
    const ALL: [Order; 6] = [
        Order::Attention,
        Order::Number,
        Order::Next,
        Order::Tool,
        Order::Condition,
        Order::Stage,
    ];

    const fn word(self) -> &'static str {
        match self {
            Order::Attention => "",
            Order::Number => "number",
            Order::Next => "next",
            Order::Tool => "tool",
            Order::Condition => "condition",
            Order::Stage => "stage",
        }
    }

    const fn label(self) -> &'static str {
        match self {
            Order::Attention => "Open problems first",
            Order::Number => "Number",
            Order::Next => "Next step",
            Order::Tool => "Tool",
            Order::Condition => "Condition",
            Order::Stage => "Stage",
        }
    }

    /// The key that a hole sorts by; holes with equal keys stay sorted by number.
    fn key(self, hole: &HoleSummary) -> (usize, String) {
        let tool = || hole.next.tool.as_ref().map(ToString::to_string);
        match self {
            Order::Attention => {
                let calm = !hole.conflict && hole.problems == 0;
                (usize::from(calm), String::new())
            }
            Order::Number => (0, String::new()),
            Order::Next => (hole.next.action.place(), tool().unwrap_or_default()),
            Order::Tool => (
                usize::from(hole.next.tool.is_none()),
                tool().unwrap_or_default(),
            ),
            Order::Condition => {
                // Holes that nobody looked at come last.
                let place = hole.condition.map(|condition| condition as usize);
                (place.unwrap_or(usize::MAX), String::new())
            }
            Order::Stage => (hole.stage as usize, String::new()),
        }
    }
}

/// Which holes are shown, and in which order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Filter {
    /// The wanted value of some properties.
    wanted: Vec<(Facet, String)>,
    order: Order,
}

/// Name of the order in an address.
const SORT: &str = "sort";

impl Filter {
    /// Reads it from the address; what is not understood is left out.
    pub fn read(request: &Request) -> Filter {
        let wanted = Facet::ALL.into_iter().filter_map(|facet| {
            let value = request.param(facet.param())?;
            (!value.is_empty()).then(|| (facet, value.to_owned()))
        });
        let sort = request.param(SORT).unwrap_or_default();
        let mut orders = Order::ALL.into_iter();
        Filter {
            wanted: wanted.collect(),
            order: orders
                .find(|order| order.word() == sort)
                .unwrap_or_default(),
        }
    }

    /// Whether it hides some holes.
    pub fn is_active(&self) -> bool {
        !self.wanted.is_empty()
    }

    /// The holes to show, in order.
    pub fn apply<'h>(&self, holes: &'h [HoleSummary]) -> Vec<&'h HoleSummary> {
        let fits = |hole: &&HoleSummary| {
            self.wanted.iter().all(|(facet, wanted)| {
                let values = facet.values(hole, Unit::Inch);
                values.iter().any(|value| value.key == *wanted)
            })
        };
        let mut shown: Vec<&HoleSummary> = holes.iter().filter(fits).collect();
        shown.sort_by_cached_key(|hole| self.order.key(hole));
        shown
    }

    /// The form, folded until it is used. It offers what the face's holes have.
    pub fn form(&self, holes: &[HoleSummary], path: &str, unit: Unit) -> Markup {
        html! {
            details.hole-filter open[*self != Filter::default()] {
                summary { "Sort and filter" }
                form action=(path) {
                    div.fields {
                        @for facet in Facet::ALL { (self.select(facet, holes, unit)) }
                        div.field {
                            label for="list-sort" { "Sort by" }
                            select #list-sort name=(SORT) {
                                @for order in Order::ALL {
                                    option value=(order.word()) selected[order == self.order] { (order.label()) }
                                }
                            }
                        }
                        button { "Show" }
                    }
                }
            }
        }
    }

    fn select(&self, facet: Facet, holes: &[HoleSummary], unit: Unit) -> Markup {
        let id = format!("list-{}", facet.param());
        let wanted = self.wanted.iter().find(|(it, _)| *it == facet);
        let wanted = wanted.map(|(_, value)| value.as_str());
        let options = options(facet, holes, unit);
        // A link may ask for what no hole has any more.
        let gone = wanted.filter(|wanted| options.iter().all(|(value, _)| value.key != *wanted));
        html! {
            div.field {
                label for=(id) { (facet.label()) }
                select id=(id) name=(facet.param()) {
                    option value="" { "Any" }
                    @if let Some(gone) = gone { option value=(gone) selected { (gone) " (0)" } }
                    @for (value, holes) in &options {
                        option value=(value.key) selected[wanted == Some(&value.key)] { (value.label) " (" (holes) ")" }
                    }
                }
            }
        }
    }
}

/// The values of a property on a face, in the order of the work, with how many holes have each.
fn options(facet: Facet, holes: &[HoleSummary], unit: Unit) -> Vec<(FacetValue, usize)> {
    let mut sorted: Vec<&HoleSummary> = holes.iter().collect();
    sorted.sort_by_key(|hole| match facet {
        Facet::Stage => hole.stage as usize,
        Facet::Condition => hole.condition.map_or(0, |condition| condition as usize),
        _ => hole.next.action.place(),
    });
    let mut options: Vec<(FacetValue, usize)> = Vec::new();
    for value in sorted.iter().flat_map(|hole| facet.values(hole, unit)) {
        match options.iter_mut().find(|(known, _)| *known == value) {
            Some((_, holes)) => *holes += 1,
            None => options.push((value, 1)),
        }
    }
    options
}
