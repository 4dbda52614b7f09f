//! Exchanges over the network, where the device's program is killed, and where the shop computer's is.

use super::LIVES;
use super::stage::{Stage, VICTIM, Victim, ids, kills};
use holebook_core::notebook::Notebook;
use holebook_core::photo::PhotoHash;
use holebook_tests::dice::Dice;
use holebook_tests::proxy::Proxy;
use holebook_tests::{lan, shop};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;

/// New photographs on either side before each kill, and about how many bytes each has.
const PHOTOGRAPHS: usize = 8;
const PHOTOGRAPH_BYTES: usize = 200_000;
/// Somewhat more than they are on the wire, in bytes.
const ROUND: u64 = 3_600_000;

/// Whose program is killed.
#[derive(Clone, Copy, PartialEq)]
enum Whose {
    Device,
    ShopComputer,
}

/// A shop computer's program, and the way to it, on which one sees how far an exchange is.
struct Shop {
    dir: PathBuf,
    port: u16,
    program: Victim,
    way: Proxy,
}

impl Shop {
    /// Serves the other notebook of the stage, and pairs the first with it.
    fn beside(stage: &Stage) -> Self {
        let dir = stage.other();
        drop(Notebook::open(&dir).unwrap());
        let port = lan::quiet_port();
        let program = serve(&dir, port);
        let way = Proxy::before(program.first().parse().unwrap());
        lan::pair(stage.dir(), &dir, way.address);
        Self {
            dir,
            port,
            program,
            way,
        }
    }

    /// Waits until so many more bytes have passed.
    fn pass(&self, bytes: u64) {
        let start = self.way.passed();
        while self.way.passed() - start < bytes {
            thread::yield_now();
        }
    }

    /// Kills it, and looks whether it holds what the device was told by then to have brought.
    fn kill(&mut self, device: &mut Victim) {
        let brought = brought(device.printed());
        self.program.kill();
        assert!(sound(&self.dir));
        let there = ids(&self.dir);
        let lost = brought.iter().find(|id| !there.contains(id));
        assert_eq!(lost, None);
    }

    fn begin_again(&mut self) {
        self.program = serve(&self.dir, self.port);
    }
}

impl Drop for Shop {
    fn drop(&mut self) {
        self.program.kill();
    }
}

fn serve(dir: &Path, port: u16) -> Victim {
    let mut command = Command::new(VICTIM);
    command.arg("serve").arg(dir).arg(port.to_string());
    // Its input stays open for as long as it shall live.
    command.stdin(Stdio::piped()).stderr(Stdio::null());
    Victim::start(command)
}

/// The entries that were written before an exchange that came to its end.
fn brought(lines: &[String]) -> Vec<String> {
    let last = lines.iter().rposition(|line| line == "exchange");
    let before = lines[..last.unwrap_or(0)].iter();
    before
        .filter_map(|line| line.strip_prefix("entry ").map(str::to_owned))
        .collect()
}

fn sound(dir: &Path) -> bool {
    Notebook::open(dir).unwrap().verify().unwrap().is_sound()
}

fn photos(dir: &Path) -> Vec<PhotoHash> {
    let mut photos = Notebook::open(dir).unwrap().photos().hashes().unwrap();
    photos.sort();
    photos
}

/// The next exchange brings both notebooks together.
fn finish(stage: &Stage) {
    let report = lan::exchange(&stage.notebook()).unwrap();
    assert_eq!(report.problems, []);
    assert_eq!(ids(stage.dir()), ids(&stage.other()));
    assert_eq!(photos(stage.dir()), photos(&stage.other()));
    assert!(sound(&stage.other()));
}

fn kill_programs(whose: Whose, mut dice: Dice) {
    let mut stage = Stage::set();
    let mut shop = Shop::beside(&stage);
    let mut in_the_midst = 0;
    for turn in 0..kills() {
        if turn > 0 && turn % LIVES == 0 {
            stage = Stage::set();
            shop = Shop::beside(&stage);
        }
        // Of another size each time, so that no two are alike.
        for (dir, more) in [(stage.dir(), 2 * turn), (&shop.dir, 2 * turn + 1)] {
            let notebook = Notebook::open(dir).unwrap();
            shop::photograph(&notebook, PHOTOGRAPHS, PHOTOGRAPH_BYTES + more as usize);
        }
        let mut device = stage.start("lan", &mut dice);
        shop.pass(dice.below(ROUND));
        match whose {
            Whose::Device => stage.remember(&device.kill()),
            Whose::ShopComputer => shop.kill(&mut device),
        }
        in_the_midst += u64::from(photos(stage.dir()) != photos(&shop.dir));
        if whose == Whose::ShopComputer {
            shop.begin_again();
            // It is the same run of the device's program that goes on.
            device.wait_for("exchange");
            stage.remember(&device.kill());
        }
        stage.check();
        finish(&stage);
    }
    assert!(
        in_the_midst > kills() / 3,
        "only {in_the_midst} in the midst"
    );
}

#[test]
fn an_exchange_over_the_network_whose_device_was_killed_is_finished_by_the_next() {
    kill_programs(Whose::Device, Dice::thrown("device"));
}

#[test]
fn an_exchange_over_the_network_whose_shop_computer_was_killed_is_finished_by_the_next() {
    kill_programs(Whose::ShopComputer, Dice::thrown("shop computer"));
}
