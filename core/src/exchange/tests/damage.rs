//! A shelf that is not as it should be: nothing half is ever taken, and what is lost is left again.

use super::*;
use crate::exchange::Stretch;
use crate::notebook::tests::{depth_of, lines};
use crate::notebook::{DeviceId, EntryId, Line};

/// A shelf with one file of four lines, and the notebook that left it.
fn one_file() -> (TempDir, Bench, PathBuf) {
    let shelf = shelf();
    let (first, hole) = with_a_hole();
    first.notebook.say(hole, depth_of(20.0), &[]).unwrap();
    meet(&first.notebook, shelf.path());
    let file = segments(shelf.path()).remove(0);
    (shelf, first, file)
}

/// Takes from the shelf; nothing may come, and one sentence must say why.
fn refuses(shelf: &Path) -> String {
    let second = Bench::new();
    let report = exchange(&second.notebook, shelf).unwrap();
    assert_eq!(report.entries_taken, 0);
    assert_eq!(lines(&second.notebook), []);
    assert_eq!(report.problems.len(), 1, "{:?}", report.problems);
    report.problems[0].to_string()
}

#[test]
fn a_file_cut_short_anywhere_is_not_taken() {
    let (shelf, _, file) = one_file();
    let whole = fs::read(&file).unwrap();
    for keep in [0, 1, 100, whole.len() / 2, whole.len() - 1] {
        fs::write(&file, &whole[..keep]).unwrap();
        refuses(shelf.path());
    }
}

#[test]
fn an_unfinished_file_is_not_looked_at() {
    let (shelf, _, file) = one_file();
    let unfinished = file.with_file_name(".unfinished-a1b2c3");
    fs::rename(&file, &unfinished).unwrap();
    let second = Bench::new();
    assert_eq!(meet(&second.notebook, shelf.path()).entries_taken, 0);
    fs::rename(&unfinished, file.with_extension("jsonl.tmp")).unwrap();
    assert_eq!(meet(&second.notebook, shelf.path()).entries_taken, 0);
}

#[test]
fn a_changed_byte_is_noticed_by_the_next_line() {
    let (shelf, _, file) = one_file();
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replacen("pump end", "pump and", 1)).unwrap();
    assert!(refuses(shelf.path()).contains("line 2 does not follow"));
}

#[test]
fn a_missing_or_doubled_line_is_noticed() {
    let (shelf, _, file) = one_file();
    let text = fs::read_to_string(&file).unwrap();
    let told: Vec<_> = text.lines().collect();
    for kept in [vec![0, 2, 3], vec![0, 0, 1], vec![1, 2, 3], vec![1, 0, 2]] {
        let kept: String = kept
            .into_iter()
            .map(|at| format!("{}\n", told[at]))
            .collect();
        fs::write(&file, kept).unwrap();
        refuses(shelf.path());
    }
}

#[test]
fn a_line_that_skips_a_number_is_noticed_though_it_names_the_one_before_it() {
    let (shelf, first, file) = one_file();
    let told = lines(&first.notebook);
    let mut entry = told[1].entry().clone();
    entry.seq = 3;
    let skips = Line::write(&entry).unwrap();
    fs::remove_file(&file).unwrap();
    let stretch = Stretch {
        device: entry.device,
        first: 1,
        last: 3,
        end: skips.hash().into(),
    };
    let text = format!("{}\n{}\n", told[0].text(), skips.text());
    fs::write(shelf.path().join(stretch.to_string()), text).unwrap();
    assert!(refuses(shelf.path()).contains("line 2 does not follow"));
}

#[test]
fn lines_under_another_device_s_name_are_not_taken() {
    let (shelf, _, file) = one_file();
    let other = shelf
        .path()
        .join("journal")
        .join(DeviceId::fresh().to_string());
    fs::rename(file.parent().unwrap(), other).unwrap();
    assert!(refuses(shelf.path()).contains("another device"));
}

#[test]
fn a_line_whose_id_another_entry_has_is_not_taken() {
    let (shelf, first, _) = one_file();
    let told = lines(&first.notebook);
    let device = DeviceId::fresh();
    let forged = crate::notebook::Entry {
        device,
        seq: 1,
        prev: None,
        ..told[3].entry().clone()
    };
    let line = Line::write(&forged).unwrap();
    let stretch = Stretch {
        device,
        first: 1,
        last: 1,
        end: line.hash().into(),
    };
    let file = shelf.path().join(stretch.to_string());
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    fs::write(file, format!("{}\n", line.text())).unwrap();
    let report = exchange(&first.notebook, shelf.path()).unwrap();
    assert_eq!(report.problems.len(), 1);
    assert_eq!(lines(&first.notebook), told);
}

#[test]
fn lines_after_a_gap_wait_until_the_gap_is_filled() {
    let (shelf, first, file) = one_file();
    let hole = first.notebook.list().unwrap().castings[0].faces[0].holes[0].id;
    first.notebook.say(hole, depth_of(21.0), &[]).unwrap();
    meet(&first.notebook, shelf.path());
    let kept = fs::read(&file).unwrap();
    fs::remove_file(&file).unwrap();
    assert!(refuses(shelf.path()).contains("not here"));
    // The device that wrote it finds that the shelf lacks it.
    assert_eq!(meet(&first.notebook, shelf.path()).entries_left, 4);
    assert_eq!(fs::read(&file).unwrap(), kept);
    let second = Bench::new();
    assert_eq!(meet(&second.notebook, shelf.path()).entries_taken, 5);
}

#[test]
fn what_was_cut_short_is_left_again_in_its_place() {
    let (shelf, first, file) = one_file();
    let whole = fs::read(&file).unwrap();
    fs::write(&file, &whole[..whole.len() - 9]).unwrap();
    assert_eq!(meet(&first.notebook, shelf.path()).entries_left, 4);
    assert_eq!(fs::read(&file).unwrap(), whole);
    let second = Bench::new();
    assert_eq!(meet(&second.notebook, shelf.path()).entries_taken, 4);
}

#[test]
fn lines_that_were_changed_are_left_again_once_somebody_has_found_it() {
    let (shelf, first, file) = one_file();
    let whole = fs::read_to_string(&file).unwrap();
    fs::write(&file, whole.replacen("pump end", "pump and", 1)).unwrap();
    assert_eq!(meet(&first.notebook, shelf.path()), Report::default());
    refuses(shelf.path());
    assert_eq!(meet(&first.notebook, shelf.path()).entries_left, 4);
    assert_eq!(fs::read_to_string(&file).unwrap(), whole);
    assert_eq!(meet(&first.notebook, shelf.path()), Report::default());
    let second = Bench::new();
    assert_eq!(meet(&second.notebook, shelf.path()).entries_taken, 4);
}

#[test]
fn where_a_doubt_cannot_be_noted_or_is_none_the_exchange_goes_on() {
    let (shelf, first, file) = one_file();
    let doubts = shelf.path().join("doubts");
    fs::create_dir_all(doubts.join("photos.x/y")).unwrap();
    for name in ["", "journal.a.b.c.d", "photos...", &"x".repeat(200)] {
        fs::write(doubts.join(format!("{name}~")), "").unwrap();
    }
    assert_eq!(meet(&first.notebook, shelf.path()), Report::default());
    fs::remove_dir_all(&doubts).unwrap();
    fs::write(&doubts, "no folder").unwrap();
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replacen("pump end", "pump and", 1)).unwrap();
    refuses(shelf.path());
    assert_eq!(meet(&first.notebook, shelf.path()), Report::default());
}

#[test]
fn what_is_not_of_an_exchange_is_left_alone() {
    let (shelf, first, _) = one_file();
    fs::write(shelf.path().join("journal/readme.txt"), "hello").unwrap();
    fs::create_dir_all(shelf.path().join("journal/not-a-device")).unwrap();
    fs::create_dir_all(shelf.path().join("photos")).unwrap();
    fs::write(shelf.path().join("photos/../photos/x.jpg"), "hello").unwrap();
    assert_eq!(meet(&first.notebook, shelf.path()), Report::default());
    assert!(first.notebook.entry(EntryId::fresh()).is_err());
}

#[test]
fn numbers_that_a_shelf_claims_do_not_add_up_to_a_fault() {
    let (first, _) = with_a_hole();
    let shelf = shelf();
    meet(&first.notebook, shelf.path());
    let lines = segments(shelf.path()).remove(0);
    let name = lines.file_name().unwrap().to_str().unwrap();
    let (_, end) = name.rsplit_once('-').unwrap();
    for _ in 0..3 {
        let folder = shelf.path().join(format!("journal/{}", DeviceId::fresh()));
        fs::create_dir(&folder).unwrap();
        let boast = folder.join(format!("{:012}-{}-{end}", 1, i64::MAX));
        fs::copy(&lines, boast).unwrap();
    }
    let second = Bench::new();
    let report = exchange(&second.notebook, shelf.path()).unwrap();
    assert_eq!(report.problems.len(), 3);
    assert!(report.entries_taken > 0);
}
