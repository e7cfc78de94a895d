//! A face with holes into triangles, by cutting ears (Meisters 1975), holes first joined to the outer ring by bridges
//! (Eberly, "Triangulation by ear clipping"). Signs are exact: coordinates are whole µm. Where it fails: a ring that
//! crosses itself still ends, with triangles that overlap.

use measure::plane::Point;

/// Triangles of a face: indices into all rings' points, one ring after the other. The outer ring comes first and runs
/// clockwise on the page, holes the other way; so do the triangles of the face run clockwise.
pub(super) fn triangles(rings: &[Vec<Point>]) -> Vec<[u32; 3]> {
    let points: Vec<Point> = rings.concat();
    let mut first = 0;
    let mut loops: Vec<Vec<u32>> = Vec::new();
    for ring in rings {
        loops.push((first..first + ring.len() as u32).collect());
        first += ring.len() as u32;
    }
    if loops.is_empty() {
        return Vec::new();
    }
    let mut outer = loops.remove(0);
    let right = |ring: &Vec<u32>| ring.iter().map(|at| points[*at as usize].x).max().unwrap_or(i32::MIN);
    loops.sort_by_key(|ring| (std::cmp::Reverse(right(ring)), ring.first().copied()));
    for hole in loops {
        join(&points, &mut outer, &hole);
    }
    cut(&points, outer)
}

/// Twice the signed area of a triangle, above 0 when it runs clockwise on the page.
fn turn(a: Point, b: Point, c: Point) -> i64 {
    let side = |from: Point, to: Point| (i64::from(to.x) - i64::from(from.x), i64::from(to.y) - i64::from(from.y));
    let ((ux, uy), (vx, vy)) = (side(a, b), side(a, c));
    ux * vy - uy * vx
}

fn inside(p: Point, [a, b, c]: [Point; 3]) -> bool {
    p != a && p != b && p != c && turn(a, b, p) >= 0 && turn(b, c, p) >= 0 && turn(c, a, p) >= 0
}

/// Joins a hole to the outer ring by a bridge from its rightmost point.
fn join(points: &[Point], outer: &mut Vec<u32>, hole: &[u32]) {
    let place = |at: &u32| points[*at as usize];
    let Some(start) = (0..hole.len()).max_by_key(|at| (place(&hole[*at]).x, place(&hole[*at]).y)) else { return };
    let from = place(&hole[start]);
    let Some(to) = bridge(points, outer, from) else { return };
    let mut joined = outer[..=to].to_vec();
    joined.extend(hole[start..].iter().chain(&hole[..=start]));
    joined.extend(&outer[to..]);
    *outer = joined;
}

/// Where on the ring a bridge from a point within may end: the point of the edge straight to the right, or what stands
/// before it.
fn bridge(points: &[Point], ring: &[u32], from: Point) -> Option<usize> {
    let place = |at: usize| points[ring[at % ring.len()] as usize];
    let mut nearest: Option<(f64, usize)> = None;
    for at in 0..ring.len() {
        let (a, b) = (place(at), place(at + 1));
        if a.y > from.y || b.y < from.y || a.y == b.y {
            continue;
        }
        let share = f64::from(from.y - a.y) / f64::from(b.y - a.y);
        let x = f64::from(a.x) + share * (f64::from(b.x) - f64::from(a.x));
        if x >= f64::from(from.x) && nearest.is_none_or(|(best, _)| x < best) {
            nearest = Some((x, if a.x > b.x { at } else { (at + 1) % ring.len() }));
        }
    }
    let (x, end) = nearest?;
    let hit = Point::new(x as i32, from.y);
    let corner = place(end);
    let triangle = if corner.y > from.y { [from, hit, corner] } else { [from, corner, hit] };
    let steepness = |at: usize| {
        let (dx, dy) = (f64::from(place(at).x - from.x), f64::from(place(at).y - from.y));
        (dy.abs() / dx.max(1e-9), dx)
    };
    let before = (0..ring.len()).filter(|at| {
        let (a, p, b) = (place(at + ring.len() - 1), place(*at), place(at + 1));
        turn(a, p, b) <= 0 && inside(p, triangle)
    });
    let seen = before.chain([end]).min_by(|a, b| {
        let ((sa, da), (sb, db)) = (steepness(*a), steepness(*b));
        sa.total_cmp(&sb).then(da.total_cmp(&db)).then(a.cmp(b))
    })?;
    // Of points that coincide, the one whose corner opens towards the hole.
    let opens = |at: usize| {
        let (a, p, b) = (place(at + ring.len() - 1), place(at), place(at + 1));
        let (left, right) = (turn(a, p, from) >= 0, turn(p, b, from) >= 0);
        if turn(a, p, b) > 0 { left && right } else { left || right }
    };
    (0..ring.len()).find(|at| place(*at) == place(seen) && opens(*at)).or(Some(seen))
}

fn cut(points: &[Point], ring: Vec<u32>) -> Vec<[u32; 3]> {
    let mut left = ring;
    let mut triangles = Vec::with_capacity(left.len());
    let (mut at, mut tried) = (0, 0);
    while left.len() > 2 {
        let count = left.len();
        at %= count;
        let corner = [left[(at + count - 1) % count], left[at], left[(at + 1) % count]];
        let bend = turn(points[corner[0] as usize], points[corner[1] as usize], points[corner[2] as usize]);
        // After a whole round without an ear any bend must do: the ring touches itself.
        let must = tried > count;
        if bend == 0 || (bend > 0 && (must || is_ear(points, &left, corner))) || tried > 2 * count {
            if bend != 0 {
                triangles.push(corner);
            }
            left.remove(at);
            tried = 0;
            // The next corner but one, so that ears are not cut into a fan.
            at += 1;
        } else {
            at += 1;
            tried += 1;
        }
    }
    triangles
}

fn is_ear(points: &[Point], left: &[u32], corner: [u32; 3]) -> bool {
    let triangle = corner.map(|at| points[at as usize]);
    !left.iter().any(|at| inside(points[*at as usize], triangle))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(of: &[(i32, i32)]) -> Vec<Point> {
        of.iter().map(|(x, y)| Point::new(*x, *y)).collect()
    }

    fn area(rings: &[Vec<Point>]) -> (i64, i64) {
        let points = rings.concat();
        let of = |ring: &Vec<Point>| {
            (0..ring.len()).map(|i| turn(Point::new(0, 0), ring[i], ring[(i + 1) % ring.len()])).sum::<i64>()
        };
        let triangles = triangles(rings);
        let cut = triangles.iter().map(|t| turn(points[t[0] as usize], points[t[1] as usize], points[t[2] as usize]));
        (rings.iter().map(of).sum(), cut.sum())
    }

    /// Triangles cover the face: their areas, none of them turned over, add up to that of the rings, exactly.
    #[test]
    fn triangles_add_up_to_the_face() {
        let comb: Vec<(i32, i32)> = (0..20)
            .flat_map(|i| [(i * 100, 0), (i * 100 + 50, if i % 2 == 0 { 900 } else { 400 })])
            .chain([(1990, 1000), (0, 1000)])
            .collect();
        let square = [(0, 0), (1000, 0), (1000, 1000), (0, 1000)];
        let hole = |x: i32, y: i32| ring(&[(x, y), (x, y + 100), (x + 100, y + 100), (x + 100, y)]);
        for rings in [
            vec![ring(&square)],
            vec![ring(&comb)],
            vec![ring(&square), hole(100, 100), hole(700, 100), hole(400, 400), hole(400, 700), hole(650, 400)],
        ] {
            let (face, cut) = area(&rings);
            assert_eq!(face, cut);
        }
    }
}
