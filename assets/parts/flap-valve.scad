// Flap: the hinged door of the delivery valve. The flat side seats on leather, ribs
// keep it flat, two knuckles carry the hinge pin. Loaded with the seat up.
use <lib/shapes.scad>
$fn = 96;

dia = 82;
thick = 5;
hinge = -49;   // pin from the middle
pin = 8;

module rib(a, from, to) {
  rotate(a) translate([0, 2, 0]) rotate([90, 0, 0])
    plate([[from, 1.5, 1.3], [to, 1.5, 1.3], [to, 7, 1.3], [from + 8, 13.5, 8], [from, 13.5, 1.3]], 4, low = 1.1, high = 1.1);
}

module knuckle(y) {
  translate([0, y + 5.5, 0]) rotate([90, 0, 0])
    plate([[hinge - 8, 0, 1.4], [-30, 0, 1.3], [-30, 6, 1.3], [-38.5, 6.5, 5], [hinge + 9.5, 16, 6], [hinge - 8, 16, 7.9]], 11, low = 1, high = 1);
}

module flap() {
  difference() {
    union() {
      disc(dia, thick, low = 0.8, high = 1, flat = true);
      link([[-24, 0, 44], [-44, -17, 11], [-44, 17, 11]], thick - 0.4, low = 0.8, high = 1, flat = true);
      // rim
      rotate_extrude() polygon(concat([[32, thick - 1], [32, thick]], arc([32, thick + 2], 2, 270, 360, 4),
        arc([35.2, thick + 2.2], 1.2, 180, 90, 4), arc([37.2, thick + 2.2], 1.2, 90, 0, 4), [[38.4, thick - 1]]));
      for (a = [0:60:359]) rib(a, 5, 36);
      disc(21, 15, low = 0.1, high = 1.2);
      translate([0, 0, thick]) fillet(21, 3);
      for (s = [-1, 1]) knuckle(s * 17);
    }
    bore(8.4, 0, 15, 0.7);
    for (s = [-1, 1]) translate([hinge, s * 17, 8]) rotate([90, 0, 0]) bore(pin, -5.5, 5.5, 0.5);
  }
}

translate([0, 0, 16]) rotate([180, 0, 0]) flap();
