//! `holebook kit` and `holebook list --order`: the sample's kit, checked by hand, and its files read
//! back by Python (Debian: python3) and by LibreOffice (Debian: libreoffice-calc).

use crate::common::{error_sentence, has_keys, json as printed, run, stdout};
use holebook_core::notebook::{CastingBody, FaceBody, Notebook};
use holebook_test_support::requirements::{have, works};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;

/// A sample notebook in `HOME/sample`.
fn sample() -> TempDir {
    let home = tempfile::tempdir().unwrap();
    stdout(&run_in(home.path(), &["demo", "--no-open"]));
    home
}

fn run_in(home: &Path, args: &[&str]) -> Output {
    let folder = home.join("sample");
    run(
        home,
        &[args, &["--notebook", folder.to_str().unwrap()]].concat(),
    )
}

/// Each line of a kit: what, how many are needed, spares, and for which holes.
fn lines(kit: &Value) -> Vec<(String, u64, u64, Vec<u64>)> {
    let lines = kit["lines"].as_array().unwrap().iter();
    lines
        .map(|line| {
            let holes = line["holes"].as_array().unwrap().iter();
            (
                line["name"].as_str().unwrap().to_owned(),
                line["needed"].as_u64().unwrap(),
                line["spares"].as_u64().unwrap(),
                holes.map(|hole| hole["number"].as_u64().unwrap()).collect(),
            )
        })
        .collect()
}

/// The sample's kit, worked out by hand from `samples/pump-end-cover/scenario.json`. The iron is class
/// 25, which is easy on tools: one drill and one tap each without spares.
///
/// - Hole 3, wire thread insert, 1-1/2 D: drilled and tapped. Left: gauge, countersink, install. The
///   insert, one spare (one in ten, at least one), its install tool, an STI plug gauge, and a 115-125
///   degree countersink: 120, from .456.
/// - Hole 6, thin wall, .500 long: up to the trial fit. Left: countersink, install, broach, stake. The
///   insert, install tool, broach, an 82-100 degree countersink from .510 (MS51835B for 1/2-13). Grip
///   .750 ±.005: a 1-3/8 bolt may be .040 short (ASME B18.2.1), and then ends .580 below the face; the
///   insert's lower end, .530 at most, and a point of one pitch, .0625, need more. So 1-1/2.
/// - Hole 9, thin wall: installed, not broached and not staked. The broach, and the install tool, which
///   drives the keys.
/// - Hole 11, thin wall, nothing done, hard to 5/32: grinding points, the 29/64 drill (.453 is within
///   .452-.457) and the 1/2-13 plug tap. Hard skin: two drills and one tap more. All of hole 6's parts.
/// - Holes 1 and 2: no part is missing, but their bolts, whose grip nobody measured.
/// - Two inserts of one kind, in holes 6 and 11: one spare for both. Cleaner for every install.
#[test]
fn the_samples_kit_is_the_one_worked_out_by_hand() {
    let home = sample();
    let kit = printed(&run_in(home.path(), &["kit", "--json"]));
    has_keys(&kit, &["castings", "faces", "holes", "lines", "open"]);
    assert_eq!(
        (kit["castings"].as_u64(), kit["holes"].as_u64()),
        (Some(1), Some(14))
    );
    let thin = "key-locking insert, thin wall";
    let wanted: [(&str, u64, u64, &[u64]); 13] = [
        (&format!("3/8-16 UNC {thin}, .500 in long"), 2, 1, &[6, 11]),
        (
            "3/8-16 UNC wire thread insert, 1-1/2 D (.563 set)",
            1,
            1,
            &[3],
        ),
        ("29/64 (.453) drill", 1, 2, &[11]),
        ("1/2-13 UNC tap, plug", 1, 1, &[11]),
        ("120° countersink, .456 in or larger", 1, 0, &[3]),
        ("82° countersink, .510 in or larger", 1, 0, &[6, 11]),
        (
            &format!("install tool for 3/8-16 UNC {thin}"),
            1,
            0,
            &[6, 9, 11],
        ),
        ("install tool for 3/8-16 UNC wire thread insert", 1, 0, &[3]),
        (
            "key-slot broach for an insert in 1/2-13 UNC",
            1,
            0,
            &[6, 9, 11],
        ),
        ("mounted grinding points", 1, 0, &[11]),
        ("3/8-16 STI plug gauge", 1, 0, &[3]),
        ("cleaner, free of oil", 1, 0, &[3, 6, 11]),
        ("3/8-16 x 1-1/2 bolt", 1, 0, &[6]),
    ];
    let wanted: Vec<(String, u64, u64, Vec<u64>)> = wanted
        .iter()
        .map(|(name, needed, spares, holes)| ((*name).to_owned(), *needed, *spares, holes.to_vec()))
        .collect();
    assert_eq!(lines(&kit), wanted);
    // Nothing is in the drawer, so all of it is to buy.
    for line in kit["lines"].as_array().unwrap() {
        let sum = line["needed"].as_u64().unwrap() + line["spares"].as_u64().unwrap();
        assert_eq!(
            (line["buy"].as_u64(), &line["on_hand"]),
            (Some(sum), &Value::Null)
        );
    }
    let mut open = Vec::new();
    for hole in kit["open"].as_array().unwrap() {
        open.push((
            hole["at"]["number"].as_u64().unwrap(),
            hole["why"].as_str().unwrap(),
        ));
    }
    let bolt = "the bolt's length is not known: measure the grip";
    for number in [1, 2, 3, 9, 11] {
        assert!(open.contains(&(number, bolt)), "hole {number}: {open:?}");
    }
    for number in [4, 5, 7, 8, 10, 12, 13, 14] {
        let why = open.iter().find(|(open, _)| *open == number).unwrap().1;
        assert!(
            why.starts_with("no remedy is chosen"),
            "hole {number}: {why}"
        );
    }
    assert_eq!(open.len(), 13);
}

/// By the scenario, the 29/64 drill made holes 2, 6 and 9.
#[test]
fn wear_counts_the_holes_of_a_tool_until_it_is_new() {
    let home = sample();
    let used = || {
        let answer = printed(&run_in(home.path(), &["kit", "--wear", "--json"]));
        let tools = answer["tools"].as_array().unwrap().clone();
        let tool = tools.into_iter().map(|tool| {
            has_keys(&tool, &["tool", "holes", "worn", "dull", "advice"]);
            let holes = tool["holes"].as_array().unwrap().iter();
            let numbers: Vec<u64> = holes.map(|it| it["number"].as_u64().unwrap()).collect();
            (tool["tool"].as_str().unwrap().to_owned(), numbers)
        });
        tool.collect::<Vec<_>>()
    };
    let before = used();
    let drill = "29/64 drill";
    assert!(
        before.contains(&(drill.to_owned(), vec![2, 6, 9])),
        "{before:?}"
    );
    let text = stdout(&run_in(home.path(), &["kit", "--wear"]));
    assert!(text.contains(&format!("\n{drill}: 3 holes\n")), "{text}");
    let renewed = stdout(&run_in(home.path(), &["kit", "--renewed", drill]));
    assert!(renewed.contains("new or sharpened"), "{renewed}");
    let rest: Vec<_> = before
        .into_iter()
        .filter(|(tool, _)| tool != drill)
        .collect();
    assert_eq!(used(), rest);
    let again = run_in(home.path(), &["kit", "--renewed", drill]);
    assert!(error_sentence(&again).contains("`holebook kit --wear` names those"));
    assert_eq!(used(), rest);
}

/// A blank name names nothing, and the answer says so instead of quoting it.
#[test]
fn a_blank_name_is_refused_with_one_sentence() {
    let home = sample();
    let sheet = home.path().join("sheet.pdf");
    let sheet = sheet.to_str().unwrap();
    for blank in ["", " ", " \t "] {
        for (args, of) in [
            (&["kit", "--renewed", blank][..], "name of the tool"),
            (&["kit", "--casting", blank], "name of the casting"),
            (
                &["kit", "--wear", "--casting", blank],
                "name of the casting",
            ),
            (
                &["list", "--order", "--casting", blank],
                "name of the casting",
            ),
            (
                &["export", "--casting", blank, "--out", sheet],
                "name of the casting",
            ),
            (
                &["sheet", "--face", blank, "--out", sheet],
                "name of the face",
            ),
            (&["devices", "--revoke", blank], "number of the device"),
            (&["insert", "--remove", blank], "name of the file"),
        ] {
            let sentence = error_sentence(&run_in(home.path(), args));
            assert!(
                sentence.contains(&format!("the {of} is empty; ")),
                "{args:?}: {sentence}"
            );
            assert!(!sentence.contains("``"), "{sentence}");
        }
    }
    assert!(!Path::new(sheet).exists());
}

#[test]
fn the_samples_order_changes_fewer_tools_than_hole_by_hole() {
    let home = sample();
    let order = printed(&run_in(home.path(), &["list", "--order", "--json"]));
    has_keys(
        &order,
        &[
            "tool_changes",
            "tool_changes_hole_by_hole",
            "runs",
            "others",
        ],
    );
    let changes = |key: &str| order[key].as_u64().unwrap();
    assert!(changes("tool_changes") < changes("tool_changes_hole_by_hole"));
    let runs = order["runs"].as_array().unwrap();
    assert_eq!(runs.len() as u64, changes("tool_changes"));
    let cut = runs.iter().position(|run| run["face_cut"] == true).unwrap();
    let installs = runs
        .iter()
        .enumerate()
        .filter(|(_, run)| run["steps"][0]["step"] == "install");
    let mut count = 0;
    for (at, run) in installs {
        assert!(at > cut, "{run}");
        count += 1;
    }
    assert_eq!(count, 2, "thin wall and wire");
    let text = stdout(&run_in(home.path(), &["list", "--order", "hard-first"]));
    assert!(
        text.contains("Not in the order yet") && text.contains("29/64 drill"),
        "{text}"
    );
    let missing = run_in(home.path(), &["list", "--order", "--casting", "no such"]);
    assert!(error_sentence(&missing).contains("no casting `no such`"));
    let alone = run_in(home.path(), &["list", "--casting", "x"]);
    assert_eq!(alone.status.code(), Some(2), "--casting without --order");
}

/// Names that a spreadsheet, a file or a terminal may trip over.
const NAMES: [&str; 6] = [
    "Pump, \"left\"; 'old'",
    "=2+3",
    "Gehäuse Übermaß",
    "Крышка насоса",
    "泵盖端面",
    "🔩 joint",
];

/// A notebook with a casting of each name, each with a hole.
fn with_names(home: &Path) {
    let notebook = Notebook::open(&home.join("sample")).unwrap();
    for name in NAMES {
        let body = CastingBody {
            name: name.to_owned(),
            note: None,
            metal: None,
        };
        let casting = notebook.add_casting(&body).unwrap();
        let face = FaceBody {
            casting,
            name: "joint".to_owned(),
            note: None,
        };
        let face = notebook.add_face(&face).unwrap();
        notebook.add_hole(face, None, None).unwrap();
    }
}

/// The cells of a CSV file, as Python reads them.
fn by_python(file: &Path, encoding: &str) -> Vec<Vec<String>> {
    let script = "import csv, json, sys\n\
        rows = list(csv.reader(open(sys.argv[1], encoding=sys.argv[2], newline=''), strict=True))\n\
        print(json.dumps(rows))";
    let file = file.to_str().unwrap();
    let output = Command::new("python3")
        .args(["-c", script, file, encoding])
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Checks that every name is in a row of its own, and that none is a formula.
fn check_rows(rows: &[Vec<String>]) {
    assert_eq!(rows[0][..3], ["group", "item", "needed"]);
    assert!(rows.iter().all(|row| row.len() == 8), "{rows:?}");
    for name in NAMES {
        let of_name = rows
            .iter()
            .filter(|row| row[6].trim_start_matches('\'').starts_with(name));
        assert_eq!(of_name.count(), 1, "{name}");
    }
    let formula = |cell: &String| cell.starts_with(['=', '+', '-', '@']);
    assert!(!rows.iter().flatten().any(formula), "{rows:?}");
}

#[test]
fn python_and_a_spreadsheet_read_the_csv_whatever_the_names_are() {
    let home = sample();
    with_names(home.path());
    let file = home.path().join("kit.csv");
    let to = file.to_str().unwrap();
    stdout(&run_in(home.path(), &["kit", "--csv", "--out", to]));
    let again = run_in(home.path(), &["kit", "--csv", "--out", to]);
    assert!(error_sentence(&again).contains("already exists"));
    stdout(&run_in(
        home.path(),
        &["kit", "--csv", "--out", to, "--replace"],
    ));
    if have(works("python3", &["--version"]), "python3") {
        check_rows(&by_python(&file, "utf-8-sig"));
    }
    let printed = stdout(&run_in(home.path(), &["kit", "--csv"]));
    let written = fs::read_to_string(&file).unwrap();
    assert_eq!(format!("\u{feff}{printed}"), written);
    if have(works("soffice", &["--version"]), "soffice of LibreOffice") {
        let sheet = through_libreoffice(home.path(), &file);
        check_rows(&by_python(&sheet, "utf-8"));
    }
}

/// Opens a CSV file in LibreOffice and writes what it shows as CSV again.
fn through_libreoffice(home: &Path, file: &Path) -> std::path::PathBuf {
    let out = home.join("read-back");
    let profile = format!("-env:UserInstallation=file://{}/office", home.display());
    // Its import dialog would ask for the encoding: 76 is UTF-8.
    let utf8 = "--infilter=CSV:44,34,76,1";
    let convert = |filter: &[&str], to: &str, from: &Path| {
        let status = Command::new("soffice")
            .args([&profile, "--headless"])
            .args(filter)
            .args(["--convert-to", to, "--outdir"])
            .args([&out, from])
            .output()
            .unwrap();
        assert!(
            status.status.success(),
            "{}",
            String::from_utf8_lossy(&status.stderr)
        );
    };
    // Through its own format, so that formulas would be worked out.
    convert(&[utf8], "ods", file);
    convert(
        &[],
        "csv:Text - txt - csv (StarCalc):44,34,76,1",
        &out.join("kit.ods"),
    );
    out.join("kit.csv")
}
