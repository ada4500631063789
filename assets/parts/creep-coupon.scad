// Creep coupon: six cantilevers, 3 mm thick and 8 mm wide, on two sides of one block, all
// at finished size. Of any creep compliance from 0.5e-6 to 6e-6 1/Pa at least three of them
// come down by more than 0.1 mm and less than a tenth of their span. The long ones are
// spread over both sides so that their weight hardly turns the block.
// Print and fire it as loaded, on its foot, the cantilevers level, the supports under
// them out in the green state; measure the top face of each at its tip against its root.
// Roots are sharp on purpose: the span is known. How much they and the block give way is in
// orient/furnace/coupon.go, worked out on this shape: who changes it works it out anew.
thick = 3;
wide = 8;
gap = 4;
wall = 9;
foot = 5;
lift = 12;      // room to come down
above = 5;      // what the block goes on above the cantilevers
left = [16, 12, 10];
right = [20, 8, 7];
deep = 3 * wide + 4 * gap;

cube([wall, deep, lift + thick + above]);
translate([-18, 0, 0]) cube([18 + wall + 22, deep, foot]);
for (i = [0:2]) translate([-left[i], gap + i * (wide + gap), lift])
  cube([left[i] + wall + right[i], wide, thick]);
