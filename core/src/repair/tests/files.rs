//! One test for each known sort of damage.

use super::*;
use crate::notebook::Warning;

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
    // Line 9 of both devices is lost, and those after it are not verified; line 6 proves the hash of line 5.
    assert_eq!(recovered.entries as usize, sample.lines.len() - 2);
    assert_eq!(recovered.unverified as usize, sample.lines.len() - 18);
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

/// A sample without line 4 of each device, repaired.
fn without_fourth_lines(sample: &Sample) -> (TempDir, RepairReport) {
    let dir = sample.in_folder();
    let lost = "DROP TRIGGER entry_is_never_deleted; DELETE FROM entry WHERE seq = 4;
        CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry
        BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END; VACUUM;";
    open_database(dir.path()).execute_batch(lost).unwrap();
    let repaired = repair(dir.path()).unwrap();
    (dir, repaired)
}

#[test]
fn lines_behind_a_lost_one_stay_in_view_until_it_is_back() {
    let sample = Sample::new();
    let (dir, repaired) = without_fourth_lines(&sample);
    let gaps = |findings: &[Finding]| {
        let is_gap = |finding: &&Finding| matches!(finding, Finding::Gap { seq: 5, .. });
        findings.iter().filter(is_gap).count()
    };
    assert_eq!(
        (gaps(&repaired.now.findings), repaired.now.findings.len()),
        (2, 2)
    );
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(lines(&notebook).len(), sample.lines.len() - 2);
    let holes = &notebook.list().unwrap().castings[0].faces[0].holes;
    let line = &notebook.history(holes[0].id.0, 1, None).unwrap()[0];
    assert!(line.unverified);
    let report = notebook.verify().unwrap();
    assert_eq!(report.unverified_entries as usize, sample.lines.len() - 8);
    let warnings = notebook.warnings().unwrap();
    assert!(matches!(warnings[..], [Warning::Unverified { .. }]));
    drop(notebook);
    // A second repair has nothing more to do, and still says so.
    let again = repair(dir.path()).unwrap();
    assert_eq!((again.recovered, again.moved), (None, vec![]));
    assert_eq!(again.now.findings, report.findings);
    // They are not synced.
    let notebook = Notebook::open(dir.path()).unwrap();
    let other = TempDir::new().unwrap();
    assert_eq!(sync_folder(&notebook, other.path()).unwrap().problems, []);
    let second = Bench::new();
    sync_folder(&second.notebook, other.path()).unwrap();
    assert!(lines(&second.notebook).len() < 8);
    // A remote that has only the lost lines.
    let short = TempDir::new().unwrap();
    let (folder, _) = FolderRemote::open(short.path()).unwrap();
    for line in sample.lines.iter().filter(|line| line.entry().seq == 4) {
        let (device, hash) = (line.entry().device, line.hash());
        let head = Head {
            device,
            seq: 4,
            hash,
        };
        let text = format!("{}\n", line.text());
        folder
            .push_lines(&Segment::ending_at(&head, 4), text.as_bytes())
            .unwrap();
    }
    assert_eq!(sync_folder(&notebook, short.path()).unwrap().problems, []);
    assert!(notebook.verify().unwrap().is_ok());
    assert_eq!(notebook.warnings().unwrap(), []);
    assert!(texts(&sample.lines).is_subset(&texts(&lines(&notebook))));
    let line = &notebook.history(holes[0].id.0, 1, None).unwrap()[0];
    assert!(!line.unverified);
}

#[test]
fn accepted_losses_are_no_longer_reported_and_what_was_behind_them_syncs() {
    let sample = Sample::new();
    let (dir, _) = without_fourth_lines(&sample);
    let notebook = Notebook::open(dir.path()).unwrap();
    let hole = notebook.list().unwrap().castings[0].faces[0].holes[0].id;
    let before = notebook.hole(hole).unwrap().record;
    let copied = notebook.accept_losses().unwrap();
    assert!(copied > 30, "{copied}");
    assert!(notebook.verify().unwrap().is_ok());
    assert_eq!(notebook.warnings().unwrap(), []);
    let after = notebook.hole(hole).unwrap().record;
    let said = |record: &crate::hole::record::HoleRecord| {
        let readings = record.readings.iter();
        let readings =
            readings.map(|reading| (reading.body.clone(), reading.by.clone(), reading.at));
        readings.collect::<Vec<_>>()
    };
    assert_eq!(said(&after), said(&before));
    let other = TempDir::new().unwrap();
    sync_folder(&notebook, other.path()).unwrap();
    let second = Bench::new();
    sync_folder(&second.notebook, other.path()).unwrap();
    assert_eq!(
        said(&second.notebook.hole(hole).unwrap().record),
        said(&before)
    );
    assert_eq!(notebook.entries_not_synced().unwrap(), 0);
    // A repair does not forget that the losses were accepted.
    drop(notebook);
    assert!(repair(dir.path()).unwrap().now.is_ok());
    // If a remote brings the lost lines all the same, everything counts once.
    let notebook = Notebook::open(dir.path()).unwrap();
    sync_folder(&notebook, sample.remote.path()).unwrap();
    assert!(notebook.verify().unwrap().is_ok());
    assert!(texts(&sample.lines).is_subset(&texts(&lines(&notebook))));
    assert_eq!(said(&notebook.hole(hole).unwrap().record), said(&before));
}

#[test]
fn a_missing_last_row_is_reported_until_it_is_back() {
    let sample = Sample::new();
    let dir = sample.in_folder();
    let lost = format!(
        "DROP TRIGGER entry_is_never_deleted;
        DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry WHERE hex(device) = '{device}')
            AND hex(device) = '{device}';
        CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry
        BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END; VACUUM;",
        device = sample.device.0.simple().to_string().to_uppercase()
    );
    open_database(dir.path()).execute_batch(&lost).unwrap();
    let is_end = |finding: &Finding| matches!(finding, Finding::End { device, .. } if *device == sample.device);
    let report = Notebook::open(dir.path()).unwrap().verify().unwrap();
    assert!(report.findings.iter().any(is_end), "{report:?}");
    for _ in 0..2 {
        let repaired = repair(dir.path()).unwrap();
        assert!(matches!(&repaired.now.findings[..], [end] if is_end(end)));
    }
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_ne!(notebook.device().unwrap(), sample.device);
    sync_folder(&notebook, sample.remote.path()).unwrap();
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn settings_that_cannot_be_read_are_reset_and_do_not_lock_out() {
    let sample = Sample::new();
    let dir = sample.in_folder();
    let bad = "INSERT OR REPLACE INTO setting VALUES ('unit', 'furlong'), ('drawer', '?'),
        ('remotes', '{'), ('pushed', '[]'), ('keep-photo-gps', 'maybe'), ('person', 'A' || char(7))";
    open_database(dir.path()).execute_batch(bad).unwrap();
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(notebook.settings().unwrap().drill_kinds, None);
    assert_eq!(notebook.remotes().unwrap(), []);
    let settings = |findings: &[Finding]| {
        let is_setting = |finding: &&Finding| matches!(finding, Finding::Setting { .. });
        findings.iter().filter(is_setting).count()
    };
    let report = notebook.verify().unwrap();
    assert_eq!((settings(&report.findings), report.findings.len()), (6, 6));
    drop(notebook);
    let repaired = repair(dir.path()).unwrap();
    assert_eq!(settings(&repaired.findings), 6);
    assert_eq!(
        (repaired.recovered.as_ref(), repaired.now.is_ok()),
        (None, true)
    );
    // A device id that cannot be read is replaced: what it wrote stays as it is.
    open_database(dir.path())
        .execute_batch("UPDATE setting SET value = 'mine' WHERE name = 'device'")
        .unwrap();
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_ne!(notebook.device().unwrap(), sample.device);
    assert!(notebook.verify().unwrap().is_ok());
    // Where they are written they are refused.
    let mut settings = notebook.settings().unwrap();
    settings.person = "A\u{7}".to_owned();
    let error = notebook.set_settings(&settings).unwrap_err();
    assert!(matches!(error, NotebookError::Invalid(_)), "{error}");
}

#[test]
fn missing_and_foreign_parts_of_the_schema_are_found_and_made_anew() {
    let sample = Sample::new();
    for change in [
        "DROP INDEX hole_by_face",
        "DROP TRIGGER entry_is_never_changed",
        "CREATE TRIGGER loud AFTER INSERT ON entry BEGIN DELETE FROM hole; END",
        "CREATE VIEW shadow AS SELECT 1",
        "DROP INDEX hole_by_face; CREATE INDEX hole_by_face ON hole (number)",
    ] {
        let dir = sample.in_folder();
        open_database(dir.path()).execute_batch(change).unwrap();
        let report = Notebook::open(dir.path()).unwrap().verify().unwrap();
        let is_schema = |finding: &Finding| matches!(finding, Finding::Schema { .. });
        assert!(
            report.findings.iter().any(is_schema),
            "{change}: {report:?}"
        );
        let repaired = repair(dir.path()).unwrap();
        check(&sample, dir.path(), &repaired);
    }
}

/// A program was killed, and a bit of its log flipped. Whatever is run first, every entry is there
/// for a repair.
#[test]
fn a_cut_log_is_kept_whatever_opens_the_notebook_first() {
    let sample = Sample::new();
    let frame = 24 + 4096;
    let mut log = sample.log.clone();
    log[32 + 2 * frame + 2000] ^= 1;
    let dir = put(&sample.file, &log);
    let notebook = Notebook::open(dir.path()).unwrap();
    assert!(lines(&notebook).len() < sample.lines.len());
    let warnings = notebook.warnings().unwrap();
    assert!(
        matches!(warnings[..], [Warning::LogWasCut { .. }]),
        "{warnings:?}"
    );
    // What is written now stays too.
    let hole = notebook.list().unwrap().castings[0].faces[0].holes[0].id;
    let entry = notebook.record(hole, depth_of(55.0), &[]).unwrap();
    drop(notebook);
    let report = Notebook::open(dir.path()).unwrap().verify().unwrap();
    assert!(
        matches!(report.findings[..], [Finding::Log { .. }]),
        "{report:?}"
    );
    assert_eq!(report.unexpected_files, []);
    let repaired = repair(dir.path()).unwrap();
    assert!(matches!(repaired.findings[0], Finding::Log { .. }));
    assert!(repaired.now.is_ok(), "{:?}", repaired.now);
    let notebook = Notebook::open(dir.path()).unwrap();
    assert!(texts(&sample.lines).is_subset(&texts(&lines(&notebook))));
    notebook.entry(entry).unwrap();
    assert_eq!(notebook.warnings().unwrap(), []);
    let kept = repaired.moved.iter().any(|path| {
        let kept = dir.path().join(path).join("found/notebook.sqlite-wal");
        fs::read(kept).is_ok_and(|kept| kept == log)
    });
    assert!(kept, "{:?}", repaired.moved);
}

/// Only one copy is kept however often the notebook is opened, and none of a log that is whole.
#[test]
fn one_copy_of_a_cut_log_is_kept_and_none_of_a_whole_one() {
    let sample = Sample::new();
    let mut log = sample.log.clone();
    log[32 + 2000] ^= 1;
    for (log, expected) in [(&log, 1), (&sample.log, 0)] {
        let dir = put(&sample.file, log);
        for _ in 0..3 {
            drop(Notebook::open(dir.path()).unwrap());
            fs::write(side_file(&dir.path().join(FILE), "-wal"), log).unwrap();
            fs::write(dir.path().join(FILE), &sample.file).unwrap();
        }
        let copies = fs::read_dir(dir.path()).unwrap().filter(|entry| {
            let name = entry.as_ref().unwrap().file_name();
            name.to_string_lossy().starts_with(CUT_LOG_PREFIX)
        });
        assert_eq!(copies.count(), expected);
    }
}

/// A flipped bit in the header of any frame is noticed, or costs nothing.
#[test]
fn no_flipped_bit_in_a_frame_header_costs_an_entry() {
    let sample = Sample::new();
    let frame = 24 + 4096;
    let frames = (sample.log.len() - 32) / frame;
    for nth in [0, 1, frames / 2, frames - 1] {
        for bit in 0..24 * 8 {
            let mut log = sample.log.clone();
            log[32 + nth * frame + bit / 8] ^= 1 << (bit % 8);
            let cut = crate::notebook::wal::is_cut(&log, 4096);
            assert!(cut, "frame {nth}, bit {bit}");
        }
    }
}

#[test]
fn an_emptied_database_beside_photos_is_not_a_new_notebook() {
    let bench = Bench::new();
    let (face, _) = lay_out(&bench.notebook, 1);
    let source = TempDir::new().unwrap();
    let photo = photo_file(&source, 10);
    bench.notebook.add_photo(face, &photo, None).unwrap();
    let dir = bench.dir;
    drop(bench.notebook);
    let file = dir.path().join(FILE);
    for emptied in [true, false] {
        match emptied {
            true => fs::write(&file, "").unwrap(),
            false => fs::remove_file(&file).unwrap(),
        }
        let error = Notebook::open(dir.path()).map(drop).unwrap_err();
        assert!(matches!(error, NotebookError::Damaged { .. }), "{error}");
        assert!(error.to_string().contains("its photos are here"), "{error}");
    }
    // A repair says what it is and makes a notebook that can be synced.
    fs::write(&file, "").unwrap();
    let repaired = repair(dir.path()).unwrap();
    assert!(matches!(repaired.findings[0], Finding::File { .. }));
    Notebook::open(dir.path()).unwrap();
}

/// A new notebook's entries are in its log alone until its first checkpoint.
#[test]
fn a_new_notebook_that_lost_its_log_is_not_an_empty_one() {
    let bench = Bench::new();
    let (face, _) = lay_out(&bench.notebook, 1);
    let source = TempDir::new().unwrap();
    let photo = photo_file(&source, 10);
    bench.notebook.add_photo(face, &photo, None).unwrap();
    let after = TempDir::new().unwrap();
    fs::copy(bench.dir.path().join(FILE), after.path().join(FILE)).unwrap();
    fs::create_dir(after.path().join(PHOTOS)).unwrap();
    fs::write(after.path().join(PHOTOS).join("b".repeat(64)), "x").unwrap();
    let notebook = Notebook::open(after.path()).unwrap();
    assert_eq!(notebook.warnings().unwrap(), [Warning::NoEntries]);
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
    // Without its mark, the last commit looks like one that was not finished.
    for (nth, loses_mark) in [
        (0, false),
        (frames / 2, false),
        (frames - 4, false),
        (frames - 1, false),
        (frames - 1, true),
    ] {
        let mut log = sample.log.clone();
        match loses_mark {
            true => log[32 + nth * frame + 4..][..4].fill(0),
            false => log[32 + nth * frame + 2000] ^= 1,
        }
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
    // Without the frame that ends it.
    let log = &sample.log[..32 + (last - 1) * frame];
    assert_eq!(
        searched(log),
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
    copy_database(whole.path(), &work).unwrap();
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
    assert!(recovered_lines(dir.path()) == texts(&sample.lines));
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
