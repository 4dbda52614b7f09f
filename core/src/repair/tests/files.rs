//! One test for each known sort of damage.

use super::*;

fn open_database(dir: &Path) -> rusqlite::Connection {
    rusqlite::Connection::open(dir.join(FILE)).unwrap()
}

#[test]
fn an_undamaged_notebook_is_left_as_it_is() {
    let sample = Sample::new();
    let dir = sample.in_folder();
    let repaired = repair(dir.path()).unwrap();
    assert_eq!((repaired.findings.len(), repaired.moved.len()), (0, 0));
    assert_eq!(
        (repaired.recovered.as_ref(), repaired.now.is_ok()),
        (None, true)
    );
    let notebook = Notebook::open(dir.path()).unwrap();
    assert!(lines(&notebook) == sample.lines);
    assert_eq!(notebook.device().unwrap(), sample.device);
}

#[test]
fn a_notebook_that_is_open_is_not_repaired() {
    let dir = Sample::new().in_folder();
    let open = Notebook::open(dir.path()).unwrap();
    let error = repair(dir.path()).unwrap_err();
    assert!(
        matches!(error, NotebookError::OpenElsewhere { .. }),
        "{error}"
    );
    drop(open);
    repair(dir.path()).unwrap();
}

#[test]
fn garbled_lines_cost_no_others() {
    let sample = Sample::new();
    let dir = sample.in_folder();
    let garble = "DROP TRIGGER entry_is_never_changed;
        UPDATE entry SET line = replace(line, '\"seq\":', '\"sea\":') WHERE seq = 9;
        UPDATE entry SET hash = randomblob(32) WHERE seq = 5;
        UPDATE entry SET kind = 'note' WHERE seq = 6; VACUUM;";
    // Without VACUUM the undamaged lines would still be in the file and be found.
    open_database(dir.path()).execute_batch(garble).unwrap();
    let report = Notebook::open(dir.path()).unwrap().verify().unwrap();
    assert!(report.findings.len() >= 5, "{:?}", report.findings);
    let repaired = repair(dir.path()).unwrap();
    assert_eq!(repaired.findings, report.findings);
    let mine = &sample
        .lines
        .iter()
        .find(|line| line.entry().seq > 20)
        .unwrap()
        .entry()
        .device;
    let recovered = repaired.recovered.as_ref().unwrap();
    // Line 9 of both devices is lost, and those after it wait; line 6 proves the hash of line 5.
    assert_eq!(recovered.entries, 16);
    assert_eq!(recovered.waiting as usize, sample.lines.len() - 18);
    assert!(
        recovered
            .gaps
            .iter()
            .any(|gap| gap.device == *mine && (gap.first, gap.last) == (9, 9))
    );
    assert!(recovered.continued_as.is_some() && !recovered.settings_lost);
    let recovered_lines = check(&sample, dir.path(), &repaired);
    assert_eq!(recovered_lines.len(), sample.lines.len() - 2);
}

#[test]
fn waiting_lines_come_back_once_the_one_before_them_does() {
    let sample = Sample::new();
    let dir = sample.in_folder();
    let lost = "DROP TRIGGER entry_is_never_deleted; DELETE FROM entry WHERE seq = 4; VACUUM;";
    open_database(dir.path()).execute_batch(lost).unwrap();
    let repaired = repair(dir.path()).unwrap();
    let remote = repaired.recovered.unwrap().waiting_remote.unwrap();
    let notebook = Notebook::open(dir.path()).unwrap();
    let report = sync_folder(&notebook, &dir.path().join(&remote)).unwrap();
    assert!(!report.problems.is_empty(), "one is missing before them");
    // A remote that has only the lost lines.
    let short = TempDir::new().unwrap();
    let (folder, _) = FolderRemote::open(short.path()).unwrap();
    for line in sample.lines.iter().filter(|line| line.entry().seq == 4) {
        let (device, hash) = (line.entry().device, line.hash());
        let segment = Segment::ending_at(
            &Head {
                device,
                seq: 4,
                hash,
            },
            4,
        );
        let text = format!("{}\n", line.text());
        folder.push_lines(&segment, text.as_bytes()).unwrap();
    }
    sync_folder(&notebook, short.path()).unwrap();
    let report = sync_folder(&notebook, &dir.path().join(&remote)).unwrap();
    assert_eq!(report.problems, []);
    assert!(lines(&notebook) == sample.lines);
}

#[test]
fn without_its_first_page_the_lines_are_recovered_and_the_settings_are_lost() {
    let sample = Sample::new();
    let mut file = sample.file.clone();
    file[..4096].fill(0);
    let dir = put(&file, &[]);
    assert!(Notebook::open(dir.path()).is_err());
    let repaired = repair(dir.path()).unwrap();
    let recovered = repaired.recovered.clone().unwrap();
    assert!(recovered.settings_lost);
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(Some(notebook.device().unwrap()), recovered.continued_as);
    assert!(notebook.own_devices().unwrap().contains(&sample.device));
    drop(notebook);
    check(&sample, dir.path(), &repaired);
}

#[test]
fn an_empty_file_with_a_log_is_not_taken_for_a_new_notebook() {
    let sample = Sample::new();
    let dir = put(&[], &sample.log);
    let error = Notebook::open(dir.path()).map(drop).unwrap_err();
    assert!(matches!(error, NotebookError::Damaged { .. }), "{error}");
    let repaired = repair(dir.path()).unwrap();
    check(&sample, dir.path(), &repaired);
}

/// After a damaged frame SQLite ignores the rest of the log, and reports no fault.
#[test]
fn a_damaged_frame_of_the_log_is_found_if_commits_follow_it() {
    let sample = Sample::new();
    let frame = 24 + 4096;
    let frames = (sample.log.len() - 32) / frame;
    for nth in [0, frames / 2, frames - 4, frames - 1] {
        let mut log = sample.log.clone();
        log[32 + nth * frame + 2000] ^= 1;
        let dir = put(&sample.file, &log);
        let repaired = repair(dir.path()).unwrap();
        let recovered = format!("{:?}", repaired.findings);
        assert!(
            recovered.contains("its log is damaged"),
            "frame {nth}: {recovered}"
        );
        check(&sample, dir.path(), &repaired);
    }
}

/// A disk that lost the first block of the log leaves zeros in its header and in its first frame.
#[test]
fn a_log_whose_first_block_is_emptied_is_found_and_searched() {
    let sample = Sample::new();
    let mut log = sample.log.clone();
    log[..4096].fill(0);
    let dir = put(&sample.file, &log);
    let repaired = repair(dir.path()).unwrap();
    let findings = format!("{:?}", repaired.findings);
    assert!(findings.contains("its log is damaged"), "{findings}");
    check(&sample, dir.path(), &repaired);
}

#[test]
fn every_frame_of_the_log_up_to_the_last_commit_is_searched() {
    let sample = Sample::new();
    let frame = 24 + 4096;
    let searched = |log: &[u8]| pages::Pages::of(Vec::new(), log.to_vec()).all().count();
    // The frame of a commit has the number of pages.
    let ends: Vec<usize> = sample.log[32..]
        .chunks(frame)
        .enumerate()
        .filter(|(_, frame)| frame[4..8] != [0; 4])
        .map(|(nth, _)| nth + 1)
        .collect();
    let [.., before, last] = ends[..] else {
        panic!("several commits are in the log");
    };
    assert_eq!(last, (sample.log.len() - 32) / frame);
    assert_eq!(searched(&sample.log), last);
    let mut log = sample.log.clone();
    log[32 + (last - 1) * frame + 4..][..4].fill(0);
    assert_eq!(
        searched(&log),
        before,
        "the last transaction was not committed"
    );
}

#[test]
fn without_its_log_the_notebook_is_an_earlier_one_without_findings() {
    let sample = Sample::new();
    let dir = sample.in_folder();
    fs::remove_file(side_file(&dir.path().join(FILE), "-wal")).unwrap();
    let repaired = repair(dir.path()).unwrap();
    assert_eq!(
        (repaired.findings.len(), repaired.recovered.as_ref()),
        (0, None)
    );
    let notebook = Notebook::open(dir.path()).unwrap();
    let kept = lines(&notebook);
    assert!(kept.len() < sample.lines.len());
    // What it wrote after that comes back from the remote, and it continues under a new device id.
    let report = sync_folder(&notebook, sample.remote.path()).unwrap();
    assert!(report.continued_as.is_some());
    assert!(lines(&notebook) == sample.lines);
}

#[test]
fn an_interrupted_repair_is_finished_by_the_next() {
    let sample = Sample::new();
    // As it is when power fails after the log was moved aside, before the new file is in place.
    let dir = put(&sample.file, &[]);
    let work = dir.path().join(".repair-interrupted");
    fs::create_dir(&work).unwrap();
    let whole = sample.in_folder();
    disk::copy(whole.path(), &work).unwrap();
    let unexpected = Notebook::open(dir.path())
        .unwrap()
        .verify()
        .unwrap()
        .unexpected_files;
    assert_eq!(unexpected.len(), 1, "{unexpected:?}");
    let repaired = repair(dir.path()).unwrap();
    assert_eq!(
        repaired.recovered.as_ref().unwrap().entries as usize,
        sample.lines.len()
    );
    assert_eq!(repaired.now.unexpected_files, []);
    assert!(recovered_lines(dir.path(), &repaired) == texts(&sample.lines));
}

#[test]
fn a_foreign_file_or_a_newer_notebook_is_left_alone() {
    let foreign = TempDir::new().unwrap();
    open_database(foreign.path())
        .execute_batch("CREATE TABLE song (title TEXT)")
        .unwrap();
    let newer = Sample::new().in_folder();
    let conn = open_database(newer.path());
    conn.pragma_update(None, "user_version", 9).unwrap();
    drop(conn);
    let empty = TempDir::new().unwrap();
    for dir in [foreign.path(), newer.path(), empty.path()] {
        let before = fs::read(dir.join(FILE)).ok();
        let error = repair(dir).unwrap_err();
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
                .any(|name| name.to_string_lossy().starts_with(REPAIR_PREFIX))
        );
    }
}

#[test]
fn damaged_photos_are_moved_aside_and_come_back_and_previews_are_made_again() {
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
    let remote = TempDir::new().unwrap();
    sync_folder(&bench.notebook, remote.path()).unwrap();
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
        (report.findings.len(), report.unexpected_files.len()),
        (3, 2),
        "{report:?}"
    );
    let dir = bench.dir;
    drop(bench.notebook);
    let repaired = repair(dir.path()).unwrap();
    assert_eq!(repaired.moved.len(), 1);
    assert_eq!(
        fs::read(dir.path().join(&repaired.moved[0])).unwrap(),
        bytes
    );
    assert_eq!(fs::read(&view).unwrap(), whole);
    let missing = |finding: &Finding| matches!(finding, Finding::PhotoMissing { .. });
    assert_eq!(repaired.now.findings.len(), 2);
    assert!(repaired.now.findings.iter().all(missing));
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(
        sync_folder(&notebook, remote.path()).unwrap().photos_pulled,
        2
    );
    assert!(notebook.verify().unwrap().is_ok());
}
