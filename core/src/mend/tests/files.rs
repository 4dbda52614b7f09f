//! Damage that has a name.

use super::*;

fn open_database(dir: &Path) -> rusqlite::Connection {
    rusqlite::Connection::open(dir.join(FILE)).unwrap()
}

#[test]
fn a_sound_notebook_is_left_as_it_is() {
    let laid = Laid::out();
    let dir = laid.in_folder();
    let mended = mend(dir.path()).unwrap();
    assert_eq!((mended.found.len(), mended.moved.len()), (0, 0));
    assert_eq!((mended.saved.as_ref(), mended.now.is_sound()), (None, true));
    let notebook = Notebook::open(dir.path()).unwrap();
    assert!(lines(&notebook) == laid.lines);
    assert_eq!(notebook.device().unwrap(), laid.device);
}

#[test]
fn a_notebook_that_somebody_has_open_is_not_repaired() {
    let dir = Laid::out().in_folder();
    let open = Notebook::open(dir.path()).unwrap();
    let error = mend(dir.path()).unwrap_err();
    assert!(
        matches!(error, NotebookError::OpenElsewhere { .. }),
        "{error}"
    );
    drop(open);
    mend(dir.path()).unwrap();
}

#[test]
fn lines_garbled_in_the_database_cost_no_other() {
    let laid = Laid::out();
    let dir = laid.in_folder();
    let garble = "DROP TRIGGER entry_is_never_changed;
        UPDATE entry SET line = replace(line, '\"seq\":', '\"sea\":') WHERE seq = 9;
        UPDATE entry SET hash = randomblob(32) WHERE seq = 5;
        UPDATE entry SET kind = 'note' WHERE seq = 6; VACUUM;";
    // Without VACUUM the lines as they were would still lie in the file, and be found.
    open_database(dir.path()).execute_batch(garble).unwrap();
    let report = Notebook::open(dir.path()).unwrap().verify().unwrap();
    assert!(report.findings.len() >= 5, "{:?}", report.findings);
    let mended = mend(dir.path()).unwrap();
    assert_eq!(mended.found, report.findings);
    let mine = &laid
        .lines
        .iter()
        .find(|line| line.entry().seq > 20)
        .unwrap()
        .entry()
        .device;
    let told = mended.saved.as_ref().unwrap();
    // Line 9 of both devices is gone, and those behind wait for it; the hash of line 5 is known by line 6.
    assert_eq!(told.entries, 16);
    assert_eq!(told.waiting as usize, laid.lines.len() - 18);
    assert!(
        told.gaps
            .iter()
            .any(|gap| gap.device == *mine && (gap.first, gap.last) == (9, 9))
    );
    assert!(told.went_on_as.is_some() && !told.settings_lost);
    let saved = check(&laid, dir.path(), &mended);
    assert_eq!(saved.len(), laid.lines.len() - 2);
}

#[test]
fn lines_that_wait_come_back_once_the_one_before_them_does() {
    let laid = Laid::out();
    let dir = laid.in_folder();
    let lost = "DROP TRIGGER entry_is_never_deleted; DELETE FROM entry WHERE seq = 4; VACUUM;";
    open_database(dir.path()).execute_batch(lost).unwrap();
    let mended = mend(dir.path()).unwrap();
    let shelf = mended.saved.unwrap().waiting_on.unwrap();
    let notebook = Notebook::open(dir.path()).unwrap();
    let report = exchange(&notebook, &dir.path().join(&shelf)).unwrap();
    assert!(!report.problems.is_empty(), "one is missing before them");
    // A shelf that has no more than the lines that are lost.
    let short = TempDir::new().unwrap();
    let (folder, _) = FolderShelf::open(short.path()).unwrap();
    for line in laid.lines.iter().filter(|line| line.entry().seq == 4) {
        let (device, hash) = (line.entry().device, line.hash());
        let stretch = Stretch::to(
            &Head {
                device,
                seq: 4,
                hash,
            },
            4,
        );
        let text = format!("{}\n", line.text());
        folder.leave_lines(&stretch, text.as_bytes()).unwrap();
    }
    exchange(&notebook, short.path()).unwrap();
    let report = exchange(&notebook, &dir.path().join(&shelf)).unwrap();
    assert_eq!(report.problems, []);
    assert!(lines(&notebook) == laid.lines);
}

#[test]
fn without_its_first_page_the_lines_are_there_and_the_settings_are_to_be_set_again() {
    let laid = Laid::out();
    let mut file = laid.file.clone();
    file[..4096].fill(0);
    let dir = put(&file, &[]);
    assert!(Notebook::open(dir.path()).is_err());
    let mended = mend(dir.path()).unwrap();
    let told = mended.saved.clone().unwrap();
    assert!(told.settings_lost);
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(Some(notebook.device().unwrap()), told.went_on_as);
    assert!(notebook.own_devices().unwrap().contains(&laid.device));
    drop(notebook);
    check(&laid, dir.path(), &mended);
}

#[test]
fn an_emptied_file_whose_log_is_there_is_not_taken_for_a_new_notebook() {
    let laid = Laid::out();
    let dir = put(&[], &laid.log);
    let error = Notebook::open(dir.path()).map(drop).unwrap_err();
    assert!(matches!(error, NotebookError::Damaged { .. }), "{error}");
    let mended = mend(dir.path()).unwrap();
    check(&laid, dir.path(), &mended);
}

/// Bytes of one page in the log, and all behind it is out of SQLite's sight, which finds nothing wrong.
#[test]
fn a_damaged_frame_of_the_log_is_found_where_changes_were_ended_behind_it() {
    let laid = Laid::out();
    let frame = 24 + 4096;
    let frames = (laid.log.len() - 32) / frame;
    for nth in [0, frames / 2, frames - 4, frames - 1] {
        let mut log = laid.log.clone();
        log[32 + nth * frame + 2000] ^= 1;
        let dir = put(&laid.file, &log);
        let mended = mend(dir.path()).unwrap();
        let told = format!("{:?}", mended.found);
        assert!(told.contains("its log is damaged"), "frame {nth}: {told}");
        check(&laid, dir.path(), &mended);
    }
}

#[test]
fn every_frame_of_the_log_up_to_the_last_end_of_a_change_is_searched() {
    let laid = Laid::out();
    let frame = 24 + 4096;
    let searched = |log: &[u8]| pages::Pages::of(Vec::new(), log.to_vec()).all().count();
    // Where a change ends, the frame says how many pages there are.
    let ends: Vec<usize> = laid.log[32..]
        .chunks(frame)
        .enumerate()
        .filter(|(_, frame)| frame[4..8] != [0; 4])
        .map(|(nth, _)| nth + 1)
        .collect();
    let [.., before, last] = ends[..] else {
        panic!("several changes are in the log");
    };
    assert_eq!(last, (laid.log.len() - 32) / frame);
    assert_eq!(searched(&laid.log), last);
    let mut log = laid.log.clone();
    log[32 + (last - 1) * frame + 4..][..4].fill(0);
    assert_eq!(searched(&log), before, "the last change was never ended");
}

#[test]
fn without_its_log_the_notebook_is_an_earlier_one_and_sound() {
    let laid = Laid::out();
    let dir = laid.in_folder();
    fs::remove_file(side_file(&dir.path().join(FILE), "-wal")).unwrap();
    let mended = mend(dir.path()).unwrap();
    assert_eq!((mended.found.len(), mended.saved.as_ref()), (0, None));
    let notebook = Notebook::open(dir.path()).unwrap();
    let kept = lines(&notebook);
    assert!(kept.len() < laid.lines.len());
    // What it wrote after that comes back from the shelf, and it goes on under a new identity.
    let report = exchange(&notebook, laid.shelf.path()).unwrap();
    assert!(report.went_on_as.is_some());
    assert!(lines(&notebook) == laid.lines);
}

#[test]
fn a_repair_that_was_cut_off_is_finished_by_the_next() {
    let laid = Laid::out();
    // As it lies when power fails once the log is aside and before the new file is in its place.
    let dir = put(&laid.file, &[]);
    let work = dir.path().join(".mending-cut-off");
    fs::create_dir(&work).unwrap();
    let whole = laid.in_folder();
    place::copy(whole.path(), &work).unwrap();
    let stray = Notebook::open(dir.path()).unwrap().verify().unwrap().stray;
    assert_eq!(stray.len(), 1, "{stray:?}");
    let mended = mend(dir.path()).unwrap();
    assert_eq!(
        mended.saved.as_ref().unwrap().entries as usize,
        laid.lines.len()
    );
    assert_eq!(mended.now.stray, []);
    assert!(saved(dir.path(), &mended) == texts(&laid.lines));
}

#[test]
fn what_belongs_to_others_or_to_a_newer_version_is_left_alone() {
    let foreign = TempDir::new().unwrap();
    open_database(foreign.path())
        .execute_batch("CREATE TABLE song (title TEXT)")
        .unwrap();
    let newer = Laid::out().in_folder();
    let conn = open_database(newer.path());
    conn.pragma_update(None, "user_version", 9).unwrap();
    drop(conn);
    let empty = TempDir::new().unwrap();
    for dir in [foreign.path(), newer.path(), empty.path()] {
        let before = fs::read(dir.join(FILE)).ok();
        let error = mend(dir).unwrap_err();
        let refused = matches!(
            error,
            NotebookError::NotANotebook { .. } | NotebookError::Newer { .. }
        );
        assert!(refused, "{error}");
        assert_eq!(fs::read(dir.join(FILE)).ok(), before);
        assert!(!dir.join("aside").exists());
        let left = fs::read_dir(dir)
            .unwrap()
            .map(|entry| entry.unwrap().file_name());
        assert!(
            !left
                .into_iter()
                .any(|name| name.to_string_lossy().starts_with(MENDING))
        );
    }
}

#[test]
fn damaged_photos_go_aside_and_come_back_and_small_pictures_are_made_anew() {
    let bench = Bench::new();
    let (face, _) = lay_out(&bench.notebook, 1);
    let source = TempDir::new().unwrap();
    let hashes: Vec<_> = [10, 100, 200]
        .map(|shade| {
            bench
                .notebook
                .add_photo(face, &photo_file(&source, shade), None)
                .unwrap()
                .1
                .hash
        })
        .into();
    let shelf = TempDir::new().unwrap();
    exchange(&bench.notebook, shelf.path()).unwrap();
    let photos = bench.notebook.photos();
    let (garbled, gone) = (photos.original(&hashes[0]), photos.original(&hashes[1]));
    let view = photos.view(&hashes[2]).unwrap();
    let whole = fs::read(&view).unwrap();
    let mut bytes = fs::read(&garbled).unwrap();
    bytes[300] ^= 1;
    fs::write(&garbled, &bytes).unwrap();
    fs::remove_file(gone).unwrap();
    fs::write(&view, &whole[..whole.len() / 2]).unwrap();
    fs::write(bench.dir.path().join("photos/.incoming-x"), "half").unwrap();
    fs::write(bench.dir.path().join("letter.txt"), "Dear Sir").unwrap();
    let report = bench.notebook.verify().unwrap();
    assert_eq!(
        (report.findings.len(), report.stray.len()),
        (3, 2),
        "{report:?}"
    );
    let dir = bench.dir;
    drop(bench.notebook);
    let mended = mend(dir.path()).unwrap();
    assert_eq!(mended.moved.len(), 1);
    assert_eq!(fs::read(dir.path().join(&mended.moved[0])).unwrap(), bytes);
    assert_eq!(fs::read(&view).unwrap(), whole);
    let missing = |finding: &Finding| matches!(finding, Finding::PhotoMissing { .. });
    assert_eq!(mended.now.findings.len(), 2);
    assert!(mended.now.findings.iter().all(missing));
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(exchange(&notebook, shelf.path()).unwrap().photos_taken, 2);
    assert!(notebook.verify().unwrap().is_sound());
}
