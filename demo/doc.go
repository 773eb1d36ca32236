// Package demo holds the fictional MT Skerry Venture and the first eight hours
// of one of her discharges, so that the program has something to show before a
// real ship's figures are keyed; and the files that a real ship starts from.
//
// Lives here: ship.yaml, plan.yaml and tanks/ as a discharge folder holds them,
// rounds.csv with the readings, template/ for a ship to fill in.
// Not here: what the figures mean (package ship), how they become a log
// (package cmd).
// May import: the standard library only.
//
// # Where the figures come from
//
// Ship, cargo, terminal and readings are our own invention; nothing was taken
// from a real ship. The readings were made by a script, apart from this program:
//
//   - It solved the three pumps in parallel against the shore line, in total
//     head with losses K Q², the curves of ship.yaml interpolated by PCHIP in
//     similarity coordinates (Q/N, H/N²), and stepped the levels through the
//     tank tables by a quarter of a minute. Eight cases of this ship solved by
//     others come out within 0.005 m³/h and 0.1 mm of head.
//   - Density 857.55 kg/m³ (871.0 at 15 °C, table 54A, 34 °C). Trim 0 throughout.
//     The two tanks of a pump stand open to its line, so their surfaces are level.
//   - The line is not quite what the plan says, as lines are: static 27.0 m at
//     the start, rising 0.4 m/h; loss 52 m at 6000 m³/h (plan: 26 m, 46 m).
//   - COP 2 is worn: 2 % less head than the curve. It is run 8 rpm faster, COP 3
//     2 rpm faster than COP 1, from minute 40 on.
//   - Each gauge is off by a fixed amount, within its class: suction +0.02,
//     −0.03, +0.01 bar, discharge −0.04, +0.02, +0.06 bar (COP 1, 2, 3), manifold
//     +0.03 bar, tachometer +1, −2, 0 rpm. To this comes random noise (numpy
//     default_rng, seed 871): standard deviation 1.5 rpm, 0.01, 0.02 and
//     0.015 bar, 4 mm of ullage; then rounding to 1 rpm, 0.01, 0.02 and 0.02 bar,
//     1 cm.
//
// Speeds are raised from 1250 to 1410 rpm to hold the rate while the levels fall
// and the shore tank fills: so the manifold nears its limit in the last hours,
// with 0.3 bar left at the last round.
//
// # The format of rounds.csv
//
// A line is a minute since the start of the discharge and one of four kinds:
//
//	minute,kind,name,speed_rpm,suction_bar,discharge_bar,manifold_bar,ullage_m,note
//	6,pump,COP 1,839,1.58,5.30,,,
//	6,manifold,M2,,,,2.40,,
//	0,tank,1C,,,,,1.12,
//	15,note,,,,,,,Terminal confirms cargo in the right shore tank and a tight line.
//
// Lines stand in the order of time. Figures are as read: bar as the gauge shows,
// and as many digits as its scale gives.
package demo
