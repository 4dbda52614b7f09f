//! An invented joint face, photographed: a picture with the true places of its holes.
//!
//! Nothing here is measured from a real photograph. The two makes differ in surface, light and
//! camera, so that weights that were fitted on one can be tried on the other.

use super::noise::{Random, rough, smooth};
use crate::{Picture, Point};

/// How a face was made and photographed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Make {
    /// A milled face with scratches, rust and chamfered holes, lit from one side.
    Milled,
    /// A rough cast or painted face, holes without chamfer, a flash near the lens, more blur.
    Rough,
}

#[derive(Debug, Clone, Copy)]
enum Kind {
    Hole,
    Dowel,
    Washer,
    Stud,
}

struct Round {
    x: f64,
    y: f64,
    radius: f64,
    kind: Kind,
    dirt: f64,
    erosion: f64,
    seed: u64,
}

/// A picture of a face.
pub struct Scene {
    pub width: usize,
    pub height: usize,
    /// Where the threaded holes' centers are on the face, in the picture.
    pub holes: Vec<Point>,
    /// Their places on the face, in hole radii.
    pub plan: Vec<(f64, f64)>,
    /// Mean diameter in the picture, pixels.
    pub diameter: f64,
    pub gray: Vec<u8>,
}

impl Scene {
    pub fn picture(&self) -> Picture {
        Picture::new(self.width as u32, self.height as u32, &self.gray).unwrap()
    }
}

/// A view of the plane: from hole radii on the face to pixels, and back.
struct Camera {
    to_pixels: [[f64; 3]; 3],
    to_plane: [[f64; 3]; 3],
    /// How far the bottom of a hole one radius deep is displaced, in radii.
    lean: (f64, f64),
}

fn apply(matrix: &[[f64; 3]; 3], x: f64, y: f64) -> (f64, f64) {
    let row = |r: &[f64; 3]| r[0] * x + r[1] * y + r[2];
    let w = row(&matrix[2]);
    (row(&matrix[0]) / w, row(&matrix[1]) / w)
}

fn inverse(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let cofactor = |r: usize, c: usize| {
        let (r1, r2, c1, c2) = ((r + 1) % 3, (r + 2) % 3, (c + 1) % 3, (c + 2) % 3);
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let determinant: f64 = (0..3).map(|c| m[0][c] * cofactor(0, c)).sum();
    std::array::from_fn(|r| std::array::from_fn(|c| cofactor(c, r) / determinant))
}

impl Camera {
    fn random(random: &mut Random, reach: f64, size: (usize, usize), make: Make) -> Self {
        let most = if make == Make::Milled { 32.0 } else { 38.0 };
        let tilt = random.between(2.0, most).to_radians();
        let toward = random.between(0.0, std::f64::consts::TAU);
        let turn = random.between(0.0, std::f64::consts::TAU);
        let distance = reach * random.between(2.6, 4.0);
        let (sin, cos) = tilt.sin_cos();
        let (ts, tc) = toward.sin_cos();
        let (rs, rc) = turn.sin_cos();
        let focal = distance * 0.46 * size.0.min(size.1) as f64 / reach * random.between(0.85, 1.0);
        // The face turned in its plane, then tilted about an axis in it, then seen from above.
        let axes = [[rc, -rs], [rs, rc]];
        let tilted = |x: f64, y: f64| {
            let along = x * tc + y * ts;
            let across = -x * ts + y * tc;
            let (u, w) = (along * cos, along * sin);
            (u * tc - across * ts, u * ts + across * tc, w)
        };
        let column = |k: usize| {
            let (x, y, w) = tilted(axes[0][k], axes[1][k]);
            [focal * x, focal * y, w]
        };
        let (a, b) = (column(0), column(1));
        let (cx, cy) = (size.0 as f64 / 2.0, size.1 as f64 / 2.0);
        let to_pixels = [
            [a[0] + cx * a[2], b[0] + cx * b[2], cx * distance],
            [a[1] + cy * a[2], b[1] + cy * b[2], cy * distance],
            [a[2], b[2], distance],
        ];
        // The far end of a hole moves toward the camera's side.
        let shift = tilt.tan();
        let lean = (shift * (tc * rc + ts * rs), shift * (-tc * rs + ts * rc));
        Self {
            to_plane: inverse(&to_pixels),
            to_pixels,
            lean,
        }
    }
}

/// The places of the holes, in hole radii: a circle, an oval, a grid, or the edge of a plate.
fn layout(random: &mut Random) -> Vec<(f64, f64)> {
    let spacing = random.between(6.0, 11.0);
    match (random.unit() * 4.0) as u32 {
        0 | 1 => {
            let count = random.between(9.0, 24.0) as usize;
            let stretch = if random.chance(0.5) {
                random.between(1.0, 1.7)
            } else {
                1.0
            };
            let radius = spacing * count as f64 / std::f64::consts::TAU / stretch.sqrt();
            let first = random.unit();
            let at = |k: usize| {
                let (sin, cos) =
                    ((k as f64 + first) * std::f64::consts::TAU / count as f64).sin_cos();
                (radius * stretch * cos, radius * sin)
            };
            (0..count).map(at).collect()
        }
        2 => {
            let (columns, rows) = (
                random.between(3.0, 6.9) as usize,
                random.between(3.0, 6.9) as usize,
            );
            let middle = ((columns - 1) as f64 / 2.0, (rows - 1) as f64 / 2.0);
            let at = |k: usize| {
                let (column, row) = ((k % columns) as f64, (k / columns) as f64);
                ((column - middle.0) * spacing, (row - middle.1) * spacing)
            };
            (0..columns * rows).map(at).collect()
        }
        _ => {
            let (columns, rows) = (
                random.between(4.0, 8.9) as usize,
                random.between(3.0, 6.9) as usize,
            );
            let middle = ((columns - 1) as f64 / 2.0, (rows - 1) as f64 / 2.0);
            let all = (0..columns * rows).map(|k| (k % columns, k / columns));
            let edge = all.filter(|&(c, r)| c == 0 || r == 0 || c + 1 == columns || r + 1 == rows);
            edge.map(|(c, r)| {
                (
                    (c as f64 - middle.0) * spacing,
                    (r as f64 - middle.1) * spacing,
                )
            })
            .collect()
        }
    }
}

fn rounds(random: &mut Random, plan: &[(f64, f64)], make: Make) -> Vec<Round> {
    let mut rounds: Vec<Round> = plan
        .iter()
        .map(|&(x, y)| Round {
            x,
            y,
            radius: 1.0,
            kind: Kind::Hole,
            dirt: if random.chance(0.15) {
                random.between(0.2, 0.6)
            } else {
                random.between(0.0, 0.12)
            },
            erosion: if random.chance(0.12) {
                random.between(0.05, 0.15)
            } else {
                0.015
            },
            seed: (random.unit() * 1e9) as u64,
        })
        .collect();
    let others = if make == Make::Milled { 6.0 } else { 9.0 };
    let reach = plan.iter().map(|p| p.0.hypot(p.1)).fold(0.0, f64::max);
    for _ in 0..random.between(0.0, others) as usize {
        let (x, y) = (random.between(-reach, reach), random.between(-reach, reach));
        if rounds
            .iter()
            .any(|other| (other.x - x).hypot(other.y - y) < 3.4)
        {
            continue;
        }
        let kind = [Kind::Dowel, Kind::Washer, Kind::Stud][(random.unit() * 3.0) as usize];
        let radius = match kind {
            Kind::Dowel => random.between(0.4, 0.65),
            _ => random.between(0.7, 1.0),
        };
        let seed = (random.unit() * 1e9) as u64;
        rounds.push(Round {
            x,
            y,
            radius,
            kind,
            dirt: 0.0,
            erosion: 0.01,
            seed,
        });
    }
    rounds
}

/// Light and surface of one picture.
struct Light {
    make: Make,
    seed: u64,
    from: (f64, f64),
    side: f64,
    grain: f64,
    lines: (f64, f64),
    rust: f64,
    shade: Option<(f64, f64, f64)>,
    glare: Vec<(f64, f64, f64, f64)>,
    depth: f64,
    bore: f64,
}

impl Light {
    fn random(random: &mut Random, make: Make, reach: f64, clear: f64) -> Self {
        let angle = random.between(0.0, std::f64::consts::TAU);
        let lines = random.between(0.0, std::f64::consts::TAU);
        let glares = random.between(0.0, 3.0) as usize;
        Self {
            make,
            seed: (random.unit() * 1e9) as u64,
            from: (angle.cos(), angle.sin()),
            side: random.between(0.1, 0.5),
            grain: random.between(0.05, 0.22),
            lines: (lines.cos(), lines.sin()),
            rust: if random.chance(0.6) {
                random.between(0.1, 0.6)
            } else {
                0.0
            },
            shade: random.chance(0.4).then(|| {
                (
                    angle,
                    random.between(-0.4, 0.4) * reach,
                    random.between(0.35, 0.75),
                )
            }),
            glare: (0..glares)
                .map(|_| {
                    let at = |random: &mut Random| random.between(-reach, reach);
                    let (x, y) = (at(random), at(random));
                    (x, y, random.between(2.0, 7.0), random.between(0.2, 0.9))
                })
                .collect(),
            depth: random.between(1.5, 4.0),
            bore: match random.chance(0.5) {
                true => random.between(2.0, 4.0).min(clear - 2.0).max(0.0),
                false => 0.0,
            },
        }
    }

    /// The brightness of the bare face.
    fn face(&self, x: f64, y: f64) -> f64 {
        let rough_part = rough(x * 0.9, y * 0.9, self.seed, 4) - 0.5;
        let base = match self.make {
            Make::Milled => {
                let along = x * self.lines.0 + y * self.lines.1;
                let across = -x * self.lines.1 + y * self.lines.0;
                let line = smooth(across * 6.0, along * 0.25, self.seed + 50) - 0.5;
                0.52 + self.grain * (rough_part + 0.8 * line)
            }
            Make::Rough => {
                let pit = rough(x * 2.2, y * 2.2, self.seed + 9, 3);
                0.42 + 1.3 * self.grain * rough_part - 0.5 * self.grain * f64::from(pit > 0.68)
            }
        };
        let rust = rough(x * 0.25, y * 0.25, self.seed + 99, 4);
        base * (1.0 - self.rust * ((rust - 0.5) * 6.0).clamp(0.0, 1.0))
    }

    /// What lies behind the face: a bench, or floor.
    fn behind(&self, x: f64, y: f64) -> f64 {
        0.1 + 0.35 * rough(x * 0.35, y * 0.35, self.seed + 31, 5)
    }

    fn lit(&self, x: f64, y: f64, brightness: f64) -> f64 {
        let mut lit = brightness * (1.0 + 0.02 * self.side * (x * self.from.0 + y * self.from.1));
        if let Some((angle, at, depth)) = self.shade {
            let side = x * angle.sin() - y * angle.cos() - at;
            lit *= 1.0 - depth * (side / 1.5 + 0.5).clamp(0.0, 1.0);
        }
        for &(gx, gy, size, strength) in &self.glare {
            lit += strength * (-((x - gx).powi(2) + (y - gy).powi(2)) / (size * size)).exp() * 0.6;
        }
        lit
    }

    /// Inside a hole, at a place given in its radii.
    fn inside(&self, round: &Round, x: f64, y: f64, lean: (f64, f64)) -> f64 {
        let depth = self.depth;
        let out = (x - lean.0 * depth).hypot(y - lean.1 * depth);
        let away = x.hypot(y).max(1e-6);
        let facing = -(x * self.from.0 + y * self.from.1) / away;
        let open = match out < 1.0 {
            true => 0.05,
            false => {
                let threads = 0.8 + 0.2 * ((away * 26.0).sin());
                0.06 + 0.35 * facing.max(0.0).powi(2) * away.powi(3) * threads
            }
        };
        let dirt = 0.15 + 0.3 * rough(x * 2.0, y * 2.0, round.seed, 3);
        open * (1.0 - round.dirt) + dirt * round.dirt
    }

    fn with_round(
        &self,
        round: &Round,
        at: (f64, f64),
        face: f64,
        soft: f64,
        lean: (f64, f64),
    ) -> f64 {
        let (x, y) = (
            (at.0 - round.x) / round.radius,
            (at.1 - round.y) / round.radius,
        );
        let away = x.hypot(y);
        if away > 2.4 {
            return face;
        }
        let soft = soft / round.radius;
        let (dx, dy) = (x / away.max(1e-6), y / away.max(1e-6));
        let bumps = smooth(dx * 2.0 + 7.0, dy * 2.0 + 7.0, round.seed) - 0.5;
        let rim = 1.0 + 2.0 * round.erosion * bumps;
        let cover = |edge: f64| ((edge - away) / soft + 0.5).clamp(0.0, 1.0);
        let toward = dx * self.from.0 + dy * self.from.1;
        let mix = |a: f64, b: f64, part: f64| a + (b - a) * part;
        match round.kind {
            Kind::Hole | Kind::Dowel => {
                let inside = self.inside(round, x / rim, y / rim, lean);
                let chamfer = match self.make {
                    Make::Milled => mix(face, face * (0.95 - 0.5 * toward), cover(rim)),
                    Make::Rough => face,
                };
                let mouth = if self.make == Make::Milled {
                    0.9 * rim
                } else {
                    rim
                };
                mix(chamfer, inside, cover(mouth))
            }
            Kind::Washer => {
                let ring = 0.7 + 0.25 * toward;
                mix(mix(face, ring, cover(1.9)), 0.2 + 0.1 * toward, cover(0.95))
            }
            Kind::Stud => {
                let top = 0.6 + 0.2 * rough(x, y, round.seed, 2);
                mix(mix(face, 0.12, cover(1.12)), top, cover(0.95))
            }
        }
    }
}

/// A picture by its number.
pub fn scene(seed: u64, make: Make, long_edge: usize) -> Scene {
    let mut random = Random::new(seed * 2 + u64::from(make == Make::Rough));
    let (width, height) = (long_edge, long_edge * 3 / 4);
    let plan = layout(&mut random);
    let reach = plan.iter().map(|p| p.0.hypot(p.1)).fold(0.0, f64::max) + 3.5;
    let camera = Camera::random(&mut random, reach, (width, height), make);
    let rounds = rounds(&mut random, &plan, make);
    let clear = plan.iter().map(|p| p.0.hypot(p.1)).fold(reach, f64::min);
    let light = Light::random(&mut random, make, reach, clear);
    let half = (
        plan.iter().map(|p| p.0.abs()).fold(0.0, f64::max) + random.between(2.2, 4.0),
        plan.iter().map(|p| p.1.abs()).fold(0.0, f64::max) + random.between(2.2, 4.0),
    );
    let mut bright = vec![0.0; width * height];
    for (index, bright) in bright.iter_mut().enumerate() {
        let (px, py) = ((index % width) as f64 + 0.5, (index / width) as f64 + 0.5);
        *bright = shade(&camera, &light, &rounds, half, (px, py));
    }
    let blur = match make {
        Make::Milled => random.between(0.6, 2.0),
        Make::Rough => random.between(0.8, 3.0),
    } * long_edge as f64
        / 2000.0;
    let noise = random.between(0.006, 0.03);
    let gray = develop(&mut random, &bright, (width, height), blur, noise);
    let holes: Vec<Point> = plan
        .iter()
        .map(|&(x, y)| {
            let (x, y) = apply(&camera.to_pixels, x, y);
            Point { x, y }
        })
        .collect();
    let diameter = plan
        .iter()
        .map(|&(x, y)| {
            let rim = |dx: f64, dy: f64| apply(&camera.to_pixels, x + dx, y + dy);
            let (a, b, c, d) = (rim(1.0, 0.0), rim(-1.0, 0.0), rim(0.0, 1.0), rim(0.0, -1.0));
            ((a.0 - b.0) * (c.1 - d.1) - (a.1 - b.1) * (c.0 - d.0))
                .abs()
                .sqrt()
        })
        .sum::<f64>()
        / plan.len() as f64;
    Scene {
        width,
        height,
        holes,
        plan,
        diameter,
        gray,
    }
}

fn shade(
    camera: &Camera,
    light: &Light,
    rounds: &[Round],
    half: (f64, f64),
    at: (f64, f64),
) -> f64 {
    let (x, y) = apply(&camera.to_plane, at.0, at.1);
    let (x2, y2) = apply(&camera.to_plane, at.0 + 1.0, at.1);
    let soft = (x2 - x).hypot(y2 - y).max(1e-6);
    let off = (x.abs() - half.0).max(y.abs() - half.1);
    let on_face = (0.5 - off / soft).clamp(0.0, 1.0);
    let mut face = light.face(x, y);
    if light.bore > 0.0 {
        let inside = ((light.bore - x.hypot(y)) / soft + 0.5).clamp(0.0, 1.0);
        face += (0.08 - face) * inside;
    }
    for round in rounds {
        if (round.x - x).abs() < 3.0 && (round.y - y).abs() < 3.0 {
            face = light.with_round(round, (x, y), face, soft, camera.lean);
        }
    }
    let seen = light.behind(x, y) * (1.0 - on_face) + face * on_face;
    light.lit(x, y, seen)
}

/// Blurs, adds noise and converts to 8 bits as a camera does.
fn develop(
    random: &mut Random,
    bright: &[f64],
    size: (usize, usize),
    blur: f64,
    noise: f64,
) -> Vec<u8> {
    let soft = blurred(bright, size, blur);
    let eight_bits = |value: &f64| {
        let value = value.clamp(0.0, 1.0).powf(1.0 / 2.2) + noise * random.normal();
        (value * 255.0).round().clamp(0.0, 255.0) as u8
    };
    soft.iter().map(eight_bits).collect()
}

fn blurred(values: &[f64], (width, height): (usize, usize), spread: f64) -> Vec<f64> {
    let reach = (3.0 * spread).ceil() as isize;
    let kernel: Vec<f64> = (-reach..=reach)
        .map(|k| (-0.5 * (k as f64 / spread).powi(2)).exp())
        .collect();
    let total: f64 = kernel.iter().sum();
    let pass = |from: &[f64], step: usize, length: usize, index: usize| {
        let at = (index / step % length) as isize;
        let sum: f64 = (-reach..=reach)
            .zip(&kernel)
            .map(|(k, weight)| {
                let to = (at + k).clamp(0, length as isize - 1);
                weight * from[(index as isize + (to - at) * step as isize) as usize]
            })
            .sum();
        sum / total
    };
    let rows: Vec<f64> = (0..values.len())
        .map(|index| pass(values, 1, width, index))
        .collect();
    (0..values.len())
        .map(|index| pass(&rows, width, height, index))
        .collect()
}
