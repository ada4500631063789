// Gland follower: presses the packing of the pump rod. Two studs pull the oval
// flange; the spigot enters the stuffing box. Loaded with the spigot down.
use <lib/shapes.scad>
$fn = 72;

studs = 50;   // distance of the studs
thick = 8;    // flange
spigot = 30;  // diameter
reach = 17;   // of the spigot beyond the flange
rod = 16.4;   // bore, rod of 16

module body() {
  link([[-studs / 2, 0, 22], [0, 0, 47], [studs / 2, 0, 22]], thick, low = 0.8, high = 1.5, flat = true);
  translate([0, 0, thick - 1]) disc(spigot, reach + 1, low = 0.1, high = 1);
  translate([0, 0, thick]) fillet(spigot, 2);
  for (s = [-1, 1]) translate([s * studs / 2, 0, thick - 1]) disc(17, 2.2, low = 0.1, high = 0.6);
}

translate([0, 0, thick + reach]) rotate([180, 0, 0])
difference() {
  body();
  bore(rod, 0, thick + reach);
  // the packing side leads the rings inward
  translate([0, 0, thick + reach - 2.2]) cylinder(d1 = rod, d2 = rod + 5, h = 2.21);
  for (s = [-1, 1]) translate([s * studs / 2, 0, 0]) bore(9, 0, thick + 1.2);
  // jacking holes to draw it off again
  for (s = [-1, 1]) rotate(90) translate([s * 19.6, 0, 0]) bore(3.3, 0, thick, 0.3);
}
