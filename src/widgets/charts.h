// SPDX-License-Identifier: Apache-2.0
//
// Pictures of numbers. Each is one image to a screen reader, whose label says in words what the
// picture shows; the caller writes that sentence, because only it knows what matters.
//
// Shape and pattern carry the meaning, colour only repeats it.
//
//   band_chart(ui, {.id = "standing", .label = "Ana: 412, from 388 to 437; band 380 to 420", …});
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "widgets/reading.h"
#include "widgets/ui.h"

namespace nthtree::widgets {

inline constexpr float chart_pad = 14;  // between a chart and the edge of its card

// Intervals against the tolerance band: one line a pruner (or block).
struct BandRow {
  std::string name;     // empty for a single row
  double low = 0, middle = 0, high = 0;
  std::string value;    // text on the right, "412"
  VerdictSign verdict = VerdictSign::count_more;
  bool known = true;    // false: nothing counted yet, only the name is drawn
};
struct BandChart {
  std::string id;
  std::string label;
  double band_low = 0, target = 0, band_high = 0;
  double crew = 0;        // what all of them leave, drawn dotted; 0: not drawn
  std::vector<BandRow> rows;
  std::string band_text;  // below the band: "380–420"
};
void band_chart(Ui& ui, const BandChart& spec);

// A line with limits and, where one was found, the point at which it changed (drift, CUSUM).
struct LineChart {
  std::string id;
  std::string label;
  std::vector<double> points;
  std::vector<double> limits;   // horizontal lines, dashed
  double middle = 0;            // drawn solid
  int changed_at = -1;          // index of the likely change point
  std::string changed_text;
  std::string first_text, last_text;  // below, left and right
  float height = 180;
};
void line_chart(Ui& ui, const LineChart& spec);

// A block seen from above: one column a row of trees, marks where something is known.
struct MapCell {
  int row = 0, tree = 0;        // from 1
  VerdictSign verdict = VerdictSign::on_target;
  bool open = false;            // tagged, not counted yet: drawn hollow
};
// What is thought of a whole row: drawn as its line, thick where it is known, dashed where it is
// inferred; its sign stands at the foot.
struct MapRow {
  int row = 0;
  VerdictSign verdict = VerdictSign::count_more;
  bool inferred = false;
};
struct BlockMap {
  std::string id;
  std::string label;
  int rows = 0, trees = 0;
  std::vector<MapCell> cells;
  std::vector<MapRow> row_states;
  int here_row = 0, here_tree = 0;  // 0: nobody stands in it
  float height = 240;
};
void block_map(Ui& ui, const BlockMap& spec);

struct BarRow {
  std::string name;
  double value = 0;
  std::string text;
  bool strong = false;
};
struct BarChart {
  std::string id;
  std::string label;
  std::vector<BarRow> rows;
  double mark = 0;           // a line across all bars; 0: none
  std::string mark_text;
};
void bar_chart(Ui& ui, const BarChart& spec);

// A tree with its limbs numbered from the bottom up. Without a step it shows the rule: each limb in
// one look with the piece of leader below it and the spurs on both, the top a limb too; with one,
// which are counted.
struct LimbPicture {
  std::string id;
  std::string label;
  int limbs = 4;
  int start = 0, step = 0;  // 0: the rule
  int now = 0;              // the limb being counted
  float height = 240;
};
void limb_picture(Ui& ui, const LimbPicture& spec);

// Modules of a QR code, row by row; dark is true. Always dark on white, with its quiet zone, and a
// module is a whole number of the screen's own pixels wide: a camera reads even squares best.
struct QrPicture {
  std::string id;
  std::string label;
  int size = 0;
  std::vector<bool> modules;
  float width_max = 420;
  bool edge_to_edge = false;  // wider than the column, up to the sides of the window
};
void qr_picture(Ui& ui, const QrPicture& spec);

// A piece of an apple tree in winter with the bud that is meant, and whether it is counted; drawn,
// so that it needs no language.
struct SpurPicture {
  enum class Part { spur, shoot_end, side_bud };
  std::string id;
  std::string label;
  Part part = Part::spur;
  bool counts = true;
};
void spur_picture(Ui& ui, const SpurPicture& spec);

// Where the camera's picture goes: the browser lays it over this box (web/scanner.js, by the id).
struct Viewfinder {
  std::string id;
  std::string label;
  std::string waiting;  // stands there until the picture comes
  float height = 270;
};
void viewfinder(Ui& ui, const Viewfinder& spec);

}  // namespace nthtree::widgets
