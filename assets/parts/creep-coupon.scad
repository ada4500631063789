// Creep coupon: three cantilevers of 10, 15 and 20 mm, 3 mm thick, on one block, all
// at finished size. Print and fire it as loaded, on its foot, the cantilevers level, the
// supports under them out in the green state; measure how far each tip has come down.
// Roots are sharp on purpose: the span is known.
thick = 3;
wide = 8;
wall = 9;
lift = 18;      // room to come down
spans = [10, 15, 20];

difference() {
  union() {
    cube([wall, 3 * wide + 4 * 4, lift + thick + 7]);
    cube([wall + 24, 3 * wide + 4 * 4, 6]);
    for (i = [0:2]) translate([wall - 1, 4 + i * (wide + 4), lift]) cube([spans[i] + 1, wide, thick]);
  }
  // as many notches as the beam is the first, second or third
  for (i = [0:2]) for (k = [0:i]) translate([-1, 4 + wide / 2 + i * (wide + 4) + (k - i / 2) * 2.4 - 0.6, lift + thick + 5.5])
    cube([wall + 2, 1.2, 3]);
}
