//! What the next page says after something was recorded: one fixed sentence, named in the address, so that it needs
//! no memory and what a person typed never comes back through an address.

/// The address to go on at, saying there what was recorded.
pub fn after(path: &str, what: &str) -> String {
    format!("{path}?said={what}")
}

/// The sentence of that name; `None` where there is none.
pub fn words(what: &str) -> Option<&'static str> {
    Some(match what {
        "settings" => "Settings kept.",
        "casting" => "Casting written down. Its joint face comes next.",
        "face" => "Face written down. Its cut, a photo and the holes come next.",
        "correction" => "Correction recorded.",
        "plan" => "Planned cut recorded.",
        "milled" => "Cut recorded: every depth now runs from the new face.",
        "hole" => "Hole written down.",
        "photo" => "Photo brought in.",
        "reading" => "Readings recorded.",
        "damage" => "Damage recorded.",
        "wanted" => "Wanted thread recorded.",
        "choose" => "Remedy chosen.",
        "settle" => "Settled.",
        "cut" => "What was cut is recorded.",
        "dry-fit" => "Dry fit recorded.",
        "set" => "Recorded as set.",
        "keys" => "Keys recorded.",
        "check" => "Check recorded.",
        "prove" => "Proof recorded.",
        "number" => "Number recorded.",
        "note" => "Note written down.",
        "begun" => "Begun.",
        "ending" => "It ends as soon as what it is at is safe.",
        "forgotten" => "It is off the list; nothing on it was changed.",
        "code" => "A new code; the one before is good no more.",
        "withdrawn" => "The code is good no more.",
        "paired" => "Paired. Exchange with it from here.",
        "revoked" => {
            "Revoked. It brings nothing and takes nothing from now on; what it brought stays."
        }
        "strike" => "Struck out; it stays readable in the journal.",
        _ => return None,
    })
}

/// The page that a form stands on, where `parts` is the address of a form: a refused form shows its page there, and
/// a browser that opens that address again (after a restart, say) should find the page.
pub fn page_of(parts: &[&str]) -> Option<String> {
    match parts {
        ["casting"] => Some("/".to_owned()),
        [
            "exchange",
            "begin" | "bucket" | "end" | "folder" | "forget" | "take" | "write",
        ] => Some("/exchange".to_owned()),
        ["pair", "code" | "withdraw" | "shop"] => Some("/pair".to_owned()),
        ["devices", "revoke"] => Some("/devices".to_owned()),
        ["casting", id, "casting" | "face"]
        | ["face", id, "face" | "cut" | "milled" | "hole" | "photo"]
        | ["photo", id, "mark" | "strike"]
        | [
            "hole",
            id,
            "reading" | "damage" | "wanted" | "choose" | "settle" | "cut" | "dry-fit" | "set"
            | "keys" | "check" | "prove" | "number" | "note" | "strike",
        ] => Some(format!("/{}/{id}", parts[0])),
        _ => None,
    }
}
