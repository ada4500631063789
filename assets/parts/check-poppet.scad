// Check-valve poppet: drops on its seat when the stroke turns. The old one was solid;
// a well-meaning drawing hollows it to save weight, and the void has no way out. What
// is in there, support, binder or gas, stays there. Loaded standing on its wings.
use <lib/shapes.scad>
$fn = 72;

outer = concat(
  [[0, 13], [19, 13], [20, 14], [26, 20]],                  // underside and seat
  [[26.5, 21.2]],
  arc([0, 13], 28.69, 22.5, 76.5, 14),                      // dome
  [[6.6, 43]], arc([5.6, 45], 1, 0, 90, 3), [[0, 46]]);     // lifting boss
inner = concat(
  [[0, 17.8]], arc([16, 19.3], 1.5, 270, 315, 3),
  arc([20.2, 23.2], 2, 315, 385, 4),
  arc([0, 13], 23.6, 30, 80, 12), [[0, 36.2]]);

module wing(a) {
  rotate(a) translate([0, 2.2, 0]) rotate([90, 0, 0])
    plate([[0, 0, 1.3], [12.5, 0, 1.3], [16, 3.5, 3], [16, 14, 1.2], [0, 14, 1.2]], 4.4, low = 1, high = 1);
}

difference() {
  union() {
    rotate_extrude() polygon(outer);
    for (a = [90:120:449]) wing(a);
    disc(8, 14, low = 1, high = 0.5);
    translate([0, 0, 13]) mirror([0, 0, 1]) fillet(8, 1.5);
  }
  rotate_extrude() polygon(inner);
  translate([0, 0, 41.2]) cylinder(d = 4.2, h = 6, $fn = 32);
  translate([0, 0, 45.4]) cylinder(d1 = 4.2, d2 = 6, h = 0.9, $fn = 32);
}
