// Rod clevis: joins the pump rod to the handle. The rod screws into the shank, the
// pin crosses the fork. Cut from bar in the old pump, so one pair of sides is flat.
// Loaded standing on the end of the shank.
use <lib/shapes.scad>
$fn = 64;

high = 22;      // across the flats
reach = 98;     // pin to end of shank
gap = 18;       // of the fork
cheek = 8;      // of the fork
pin = 10;
thread = 10.2;  // to be tapped M12

y = gap / 2 + cheek;
fork = [[-reach, -9, 2], [-45, -9, 10], [-29, -y, 12], [-12, -y, 1.5], [-12, -gap / 2, 1.5], [-34, -gap / 2, 8.8],
        [-34, gap / 2, 8.8], [-12, gap / 2, 1.5], [-12, y, 1.5], [-29, y, 12], [-45, 9, 10], [-reach, 9, 2]];

module clevis() {
  difference() {
    union() {
      plate(fork, high, low = 1.2, high = 1.2, flat = false);
      // cheeks end in round eyes, a little proud so that only these are faced
      for (s = [-1, 1]) translate([0, s * (gap + cheek) / 2, high / 2])
        rotate([90, 0, 0]) translate([0, 0, -(cheek + 1) / 2])
          link([[0, 0, high], [-17, 0, high]], cheek + 1, low = 1, high = 1);
    }
    translate([0, 0, high / 2]) {
      rotate([0, 90, 0]) bore(thread, -reach, -34, 1);
      rotate([90, 0, 0]) bore(pin, -y - 0.5, y + 0.5, 0.6);
      for (s = [-1, 1]) translate([0, s * (gap / 2 - 0.5), 0]) rotate([s * 90, 0, 0]) cylinder(d1 = pin, d2 = pin + 1.2, h = 0.6);
    }
    // locking screw
    translate([-78, 0, high / 2]) bore(4.2, 0, high / 2, 0.5);
  }
}

translate([high / 2, 0, reach]) rotate([0, -90, 0]) clevis();
