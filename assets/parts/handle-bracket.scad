// Handle bracket: bolts to the pump head and carries the pivot of the handle on a
// long arm. One side is flat from the flange to the eye, so that the part can lie on
// it. Loaded as it stands on the pump: on its flange, the arm in the air.
use <lib/shapes.scad>
$fn = 72;

deep = 20;          // arm, across
floor_ = 5.5;         // web
flange = 6.5;       // thickness
wide = 46;          // flange, across
eye = [80, 72];     // pivot
pin = 12;

arm = [[-16, 0, 2], [60, 0, 2], [60, flange, 2], [39, flange, 5], [46, 47, 20],
       [80, 62.6, 2], [81, 82, 2], [30, 74, 24], [4, flange, 5], [-16, flange, 2]];
// the pockets leave a rim of 5 to 6 mm, and a rib between them at the elbow; the lower
// one goes down to the flange, so that no corner is thick
low_pocket = [[9, flange, 2.8], [35, flange, 2.8], [39.2, 40, 3.4], [23.4, 49, 3.4]];
high_pocket = [[24.8, 54.6, 3.4], [41, 45, 3.4], [43.5, 52, 14], [68.2, 62.9, 2.8], [67.9, 74.8, 2.8], [34.5, 68.6, 12]];

// the flange stands across the arm; its far corners are round
module flange() {
  translate([0, flange, 0]) rotate([90, 0, 0])
    plate([[-16, 0, 2], [60, 0, 2], [60, wide, 9], [-16, wide, 9]], flange, low = 1.2, high = 1.2);
}

// gusset in the lower pocket, from the web to the free half of the flange
module gusset() {
  translate([24, flange - 1, floor_ - 1]) rotate([0, -90, 0])
    plate([[0, 0, 1.2], [36, 0, 1.2], [36, 2.5, 1.2], [6, 27, 4], [0, 31, 1.2]], 5, low = 1, high = 1);
}

module bracket() {
  difference() {
    union() {
      difference() {
        plate(arm, deep, low = 1, high = 1.2, flat = true);
        translate([0, 0, floor_]) plate(low_pocket, deep, low = 2.5, high = 0.1);
        translate([0, 0, floor_]) plate(high_pocket, deep, low = 3, high = 0.1);
      }
      flange();
      gusset();
      translate([eye[0], eye[1], 0]) disc(26, deep + 5, low = 1, high = 1.2, flat = true);
    }
    translate([eye[0], eye[1], 0]) bore(pin, 0, deep + 5, 0.8);
    for (x = [-7.5, 51.5]) for (z = [11, 35])
      translate([x, flange, z]) rotate([90, 0, 0]) bore(9, 0, flange, 0.5);
  }
}

rotate([90, 0, 0]) bracket();
