// Shapes that the parts share: turned bodies with broken edges, plates of any
// outline with rounded edges, fillet rings, bores. Lengths in mm. Everything is
// built from few clean pieces, so that unions stay quick.

// An arc as points: centre c, radius r, from angle a to b.
function arc(c, r, a, b, n = 6) = [for (i = [0:n]) c + r * [cos(a + (b - a) * i / n), sin(a + (b - a) * i / n)]];

// An upright cylinder from z = 0 to h with its edges rounded by the radii low
// and high; "flat" turns the low rounding into a chamfer of 45 degrees, which
// prints without support.
module disc(d, h, low = 1, high = 1, flat = false) {
  n = 5;
  rotate_extrude()
    polygon(concat(
      [[0, 0]],
      flat ? [[d / 2 - low, 0], [d / 2, low]] : arc([d / 2 - low, low], low, -90, 0, n),
      arc([d / 2 - high, h - high], high, 0, 90, n),
      [[0, h]]));
}

// A convex plate around circles [x, y, d], from z = 0 to h, edges rounded.
module link(circles, h, low = 1, high = 1, flat = false) {
  hull() for (c = circles) translate([c[0], c[1], 0]) disc(c[2], h, low, high, flat);
}

// The fillet of radius r around a boss of diameter d that stands on z = 0.
module fillet(d, r) {
  rotate_extrude()
    polygon(concat([[d / 2 - 0.5, -0.2], [d / 2 + r, -0.2]],
      arc([d / 2 + r, r], r, 270, 180, 6), [[d / 2 - 0.5, r]]));
}

// A bore along z from z0 to z1, both ends widened by a chamfer c of 45 degrees.
module bore(d, z0, z1, c = 0.6) {
  rotate_extrude()
    polygon([[0, z0 - 1], [d / 2 + c + 1, z0 - 1], [d / 2, z0 + c],
             [d / 2, z1 - c], [d / 2 + c + 1, z1 + 1], [0, z1 + 1]]);
}

// One corner of a polygon of points [x, y, r], rounded by its r and the whole
// outline drawn in by d: the points of its arc. The polygon runs counter-clockwise;
// a corner that turns left is convex and its radius shrinks as the outline is
// drawn in, any other grows.
function corner(p, i, d) =
  let (n = len(p), here = [p[i][0], p[i][1]], r = p[i][2],
       a = p[(i + n - 1) % n], b = p[(i + 1) % n],
       u = ([a[0], a[1]] - here) / norm([a[0], a[1]] - here),
       v = ([b[0], b[1]] - here) / norm([b[0], b[1]] - here),
       left = u[1] * v[0] - u[0] * v[1] > 0 ? 1 : -1,
       half = acos(u * v) / 2,
       c = here + (u + v) / norm(u + v) * r / sin(half),
       from = left * [u[1], -u[0]], to = left * [-v[1], v[0]],
       start = atan2(-from[1], -from[0]), turn = left * (180 - 2 * half),
       steps = max(2, ceil(abs(turn) / (r > 12 ? 5 : r > 4 ? 9 : 15))))
  arc(c, r - left * d, start, start + turn, steps);

// The outline with rounded corners, drawn in by d, as points.
function outline(p, d = 0) = [for (i = [0:len(p) - 1]) each corner(p, i, d)];

// A plate from z = 0 to h with the outline p = [[x, y, r], ...], its edges rounded
// by low and high (negative: flared outward, for a pocket to be taken away).
// "flat" turns the low rounding into a chamfer of 45 degrees. Every convex corner
// needs r > low, high.
module plate(p, h, low = 1, high = 1, flat = false) {
  n = 4;
  lows = flat ? [[low, 0], [0, low]] : [for (i = [0:n]) [low * (1 - sin(90 * i / n)), abs(low) * (1 - cos(90 * i / n))]];
  highs = [for (i = [0:n]) [high * (1 - cos(90 * i / n)), h - abs(high) * (1 - sin(90 * i / n))]];
  rings = concat(lows, highs);
  size = len(outline(p));
  points = [for (r = rings) for (q = outline(p, r[0])) [q[0], q[1], r[1]]];
  walls = [for (k = [0:len(rings) - 2]) for (i = [0:size - 1])
    let (a = k * size + i, b = k * size + (i + 1) % size)
    each [[a, a + size, b + size], [a, b + size, b]]];
  polyhedron(points, concat([[for (i = [0:size - 1]) i]], [[for (i = [size - 1:-1:0]) (len(rings) - 1) * size + i]], walls));
}
