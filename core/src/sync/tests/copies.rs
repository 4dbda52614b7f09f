//! A notebook that was copied, or restored from a backup, notices it, and nothing is lost.

use super::*;
use crate::notebook::tests::{depth_of, derived_tables, lines, wanted};
use crate::notebook::{Line, Settings};

fn texts(notebook: &Notebook) -> Vec<String> {
    let mut texts: Vec<_> = lines(notebook)
        .iter()
        .map(|line: &Line| line.text().to_owned())
        .collect();
    texts.sort();
    texts
}

#[test]
fn restored_backup_pulls_its_later_lines_and_continues_as_a_new_device() {
    let remote = remote();
    let (bench, hole) = bench_with_hole();
    let backup = copy_of(&bench);
    bench.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    sync_cleanly(&bench.notebook, remote.path());
    let lost = lines(&bench.notebook);
    drop(bench);

    let restored = Notebook::open(backup.path()).unwrap();
    let before = restored.device().unwrap();
    let report = sync_cleanly(&restored, remote.path());
    assert_eq!(report.entries_pulled, 1);
    assert_eq!(report.continued_as, Some(restored.device().unwrap()));
    assert_ne!(restored.device().unwrap(), before);
    assert_eq!(lines(&restored), lost);
    restored.record(hole, depth_of(31.0), &[]).unwrap();
    let report = sync_cleanly(&restored, remote.path());
    assert_eq!(
        (report.entries_pushed, report.continued_as),
        (1, None),
        "it happens once"
    );
    assert!(restored.verify().unwrap().is_ok());
}

#[test]
fn both_chains_of_a_copied_notebook_are_kept_and_reach_every_notebook() {
    let remote = remote();
    let (bench, hole) = bench_with_hole();
    let settings = Settings {
        device_name: "bench".into(),
        ..bench.notebook.settings().unwrap()
    };
    bench.notebook.set_settings(&settings).unwrap();
    sync_cleanly(&bench.notebook, remote.path());
    let backup = copy_of(&bench);
    let restored = Notebook::open(backup.path()).unwrap();
    bench.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    bench.notebook.record(hole, wanted("M10"), &[]).unwrap();
    restored.record(hole, depth_of(31.0), &[]).unwrap();
    restored.record(hole, wanted("3/8-16"), &[]).unwrap();
    restored.record(hole, depth_of(32.0), &[]).unwrap();

    sync_cleanly(&bench.notebook, remote.path());
    let report = sync_cleanly(&restored, remote.path());
    assert_eq!(report.entries_pulled, 2);
    assert!(report.continued_as.is_some());
    assert_eq!(
        report.entries_pushed, 4,
        "its own three, and its name under the new identity"
    );
    let third = Bench::new();
    sync_cleanly(&third.notebook, remote.path());
    let report = sync_cleanly(&bench.notebook, remote.path());
    assert_eq!(report.entries_pulled, 4);
    assert!(
        report.continued_as.is_some(),
        "the other copy finds out too"
    );
    for _ in 0..2 {
        for notebook in [&bench.notebook, &restored, &third.notebook] {
            sync_cleanly(notebook, remote.path());
        }
    }
    for notebook in [&restored, &third.notebook] {
        assert_eq!(texts(notebook), texts(&bench.notebook));
        assert_eq!(derived_tables(notebook), derived_tables(&bench.notebook));
        assert!(notebook.verify().unwrap().is_ok());
    }
    assert!(third.notebook.hole(hole).unwrap().conflict);
    assert_eq!(third.notebook.hole(hole).unwrap().record.readings.len(), 3);

    // And all of it reaches a remote that neither has used before.
    let other = super::remote();
    sync_cleanly(&bench.notebook, other.path());
    sync_cleanly(&restored, other.path());
    let fourth = Bench::new();
    sync_cleanly(&fourth.notebook, other.path());
    assert_eq!(texts(&fourth.notebook), texts(&bench.notebook));
}

#[test]
fn segment_overwritten_by_a_copy_is_pushed_again_under_another_name() {
    let (here, there) = (remote(), remote());
    let (bench, hole) = bench_with_hole();
    let backup = copy_of(&bench);
    let restored = Notebook::open(backup.path()).unwrap();
    bench.notebook.record(hole, depth_of(30.0), &[]).unwrap();
    restored.record(hole, depth_of(31.0), &[]).unwrap();
    sync_cleanly(&bench.notebook, here.path());
    sync_cleanly(&restored, there.path());
    // On a store that cannot refuse, the second writer's file replaces the first one's.
    copy_folder(there.path(), here.path());
    sync_cleanly(&bench.notebook, here.path());
    let third = Bench::new();
    sync_cleanly(&third.notebook, here.path());
    assert_eq!(third.notebook.hole(hole).unwrap().record.readings.len(), 2);
}

#[test]
fn entries_of_a_former_device_id_still_count_as_not_synced() {
    let (bench, hole) = bench_with_hole();
    let backup = copy_of(&bench);
    let copy = Notebook::open(backup.path()).unwrap();
    copy.record(hole, depth_of(30.0), &[]).unwrap();
    bench.notebook.record(hole, depth_of(31.0), &[]).unwrap();
    assert_eq!(bench.notebook.entries_not_synced().unwrap(), 4);
    let pulled = bench.notebook.import_lines(&lines(&copy)).unwrap();
    assert!(pulled.continued_as.is_some());
    assert_eq!(bench.notebook.entries_not_synced().unwrap(), 4);
    sync_cleanly(&bench.notebook, remote().path());
    assert_eq!(bench.notebook.entries_not_synced().unwrap(), 0);
}
