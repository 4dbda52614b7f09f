//! Syncs over the local network while the device's program or the shop computer's is killed.

use super::KILLS_PER_NOTEBOOK;
use super::crash_test::{CRASH_TARGET, CrashTarget, CrashTest, ids, kills};
use holebook_core::notebook::Notebook;
use holebook_core::photo::PhotoHash;
use holebook_test_support::shop_journals::add_photos;
use holebook_test_support::{Proxy, SeededRng, lan};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;

/// New photos on each side before each kill, and the approximate size of each.
const PHOTOS: usize = 8;
const PHOTO_BYTES: usize = 200_000;
/// A little more than the bytes that they take on the network.
const ROUND_BYTES: u64 = 3_600_000;

/// Which program is killed.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Side {
    Device,
    ShopComputer,
}

/// A shop computer's program, and the proxy before it, which counts the bytes of a sync.
struct Shop {
    dir: PathBuf,
    port: u16,
    program: CrashTarget,
    proxy: Proxy,
}

impl Shop {
    /// Serves the other notebook of the test, and pairs the first with it.
    fn beside(test: &CrashTest) -> Self {
        let dir = test.other();
        drop(Notebook::open(&dir).unwrap());
        let port = lan::unused_port();
        let program = serve(&dir, port);
        let proxy = Proxy::to(program.first().parse().unwrap());
        lan::pair(test.dir(), &dir, proxy.address);
        Self {
            dir,
            port,
            program,
            proxy,
        }
    }

    /// Waits until that many more bytes have passed.
    fn pass(&self, bytes: u64) {
        let start = self.proxy.bytes();
        while self.proxy.bytes() - start < bytes {
            thread::yield_now();
        }
    }

    /// Kills it, and checks that it has every entry that the device had synced by then.
    fn kill(&mut self, device: &mut CrashTarget) {
        let synced = synced(device.printed());
        self.program.kill();
        assert!(is_ok(&self.dir));
        let there = ids(&self.dir);
        let lost = synced.iter().find(|id| !there.contains(id));
        assert_eq!(lost, None);
    }

    fn restart(&mut self) {
        self.program = serve(&self.dir, self.port);
    }
}

impl Drop for Shop {
    fn drop(&mut self) {
        self.program.kill();
    }
}

fn serve(dir: &Path, port: u16) -> CrashTarget {
    let mut command = Command::new(CRASH_TARGET);
    command.arg("serve").arg(dir).arg(port.to_string());
    // It stops when its input is closed.
    command.stdin(Stdio::piped()).stderr(Stdio::null());
    CrashTarget::start(command)
}

/// The entries that were written before the last complete sync.
fn synced(lines: &[String]) -> Vec<String> {
    let last = lines.iter().rposition(|line| line == "sync");
    let before = lines[..last.unwrap_or(0)].iter();
    before
        .filter_map(|line| line.strip_prefix("entry ").map(str::to_owned))
        .collect()
}

fn is_ok(dir: &Path) -> bool {
    Notebook::open(dir).unwrap().verify().unwrap().is_ok()
}

fn photos(dir: &Path) -> Vec<PhotoHash> {
    let mut photos = Notebook::open(dir).unwrap().photos().hashes().unwrap();
    photos.sort();
    photos
}

/// The next sync makes both notebooks equal.
fn finish(test: &CrashTest) {
    let report = lan::sync(&test.notebook()).unwrap();
    assert_eq!(report.problems, []);
    assert_eq!(ids(test.dir()), ids(&test.other()));
    assert_eq!(photos(test.dir()), photos(&test.other()));
    assert!(is_ok(&test.other()));
}

fn kill_either_side(which: Side, mut rng: SeededRng) {
    let mut test = CrashTest::new();
    let mut shop = Shop::beside(&test);
    let (mut interrupted, mut acknowledged) = (0, 0);
    for round in 0..kills() {
        if round > 0 && round % KILLS_PER_NOTEBOOK == 0 {
            acknowledged += test.acknowledged()[0];
            test = CrashTest::new();
            shop = Shop::beside(&test);
        }
        // Another size each time, so that no two photos are equal.
        for (dir, more) in [(test.dir(), 2 * round), (&shop.dir, 2 * round + 1)] {
            let notebook = Notebook::open(dir).unwrap();
            add_photos(&notebook, PHOTOS, PHOTO_BYTES + more as usize);
        }
        let mut device = test.start("lan", &mut rng);
        shop.pass(rng.below(ROUND_BYTES));
        match which {
            Side::Device => test.remember(&device.kill()),
            Side::ShopComputer => shop.kill(&mut device),
        }
        interrupted += u64::from(photos(test.dir()) != photos(&shop.dir));
        if which == Side::ShopComputer {
            shop.restart();
            // The device's program keeps running and finishes its sync.
            device.wait_for("sync");
            test.remember(&device.kill());
        }
        test.check();
        finish(&test);
    }
    acknowledged += test.acknowledged()[0];
    let kills = kills();
    println!(
        "{which:?}: {kills} kills, {interrupted} syncs interrupted, {acknowledged} entries \
         acknowledged, none lost"
    );
    assert!(
        interrupted > kills / 3,
        "only {interrupted} syncs were interrupted"
    );
}

#[test]
fn sync_whose_device_was_killed_is_finished_by_the_next() {
    kill_either_side(Side::Device, SeededRng::new("device"));
}

#[test]
fn sync_whose_shop_computer_was_killed_is_finished_by_the_next() {
    kill_either_side(Side::ShopComputer, SeededRng::new("shop computer"));
}
