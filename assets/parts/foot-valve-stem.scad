// Foot-valve stem: the mushroom that holds the water in the suction pipe. The stem
// runs in a guide, a split pin keeps the spring plate. Loaded lying, as on a lathe.
use <lib/shapes.scad>
$fn = 72;

stem = 8;
tall = 104;
head = 38;

profile = concat(
  [[0, 0], [head / 2 - 1.2, 0], [head / 2, 1.2]],
  arc([head / 2 - 0.6, 3.6], 0.6, 0, 45, 3),               // rim
  [[15.6, 7.6]],                                           // seat, 45 degrees
  arc([18, 21.3], 14, 257, 180, 16),                     // throat
  [[stem / 2, 82], [stem / 2 - 0.9, 82.9], [stem / 2 - 0.9, 85.1], [stem / 2, 86]], // groove for the ring
  [[stem / 2, tall - 1.2], [stem / 2 - 1.2, tall], [0, tall]]);

module valve() {
  difference() {
    union() {
      rotate_extrude() polygon(profile);
      // guide collar, chamfered both ways so that it prints upright
      translate([0, 0, 52]) rotate_extrude()
        polygon([[1, 0], [stem / 2 - 0.2, 0], [5.8, 2.4], [5.8, 13.6], [stem / 2 - 0.2, 16], [1, 16]]);
    }
    // the collar lets water past
    for (a = [0:120:359]) rotate(a) translate([7.2, 0, 51]) cylinder(d = 5.2, h = 18, $fn = 32);
    // split pin
    translate([0, 0, 95]) rotate([90, 0, 0]) bore(2.8, -stem / 2, stem / 2, 0.3, $fn = 24);
    // the face is hollow, so that the wall stays even; its slope carries itself
    rotate_extrude() polygon([[0, -1], [10.3, -1], [1.2, 11.4], [0, 11.4]]);
  }
}

rotate([0, 90, 0]) valve();
