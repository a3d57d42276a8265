// SPDX-License-Identifier: Apache-2.0
//
// Colours and measures. Two themes: sun (dark ink on frost, for the row) and dusk (for the office
// and the dark morning). The names come from an orchard in winter: frost, bark, rosehip, lichen,
// low sun, blue hour.
//
// Not a style sheet: a widget takes the colour of a role (primary, harder …), never a raw value.
// Invariant: every pair in contrast_pairs() is at least 7:1 (WCAG 2.2, success criterion 1.4.6);
// the unit test computes it. State is never told by colour alone.
// Units: CSS pixels at 96 dpi; 12 mm = 45.4 px, so the smallest target, 56 px, is 14.8 mm.
//
//   Theme theme = make_theme({.dusk = false, .text_scale = 1.3f});
//   painter.fill(box, theme.primary.back);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace nthtree::widgets {

// 0xAABBGGRR, as Dear ImGui takes it.
using Color = std::uint32_t;
constexpr Color rgb(unsigned hex) {
  return 0xFF000000u | ((hex & 0xFF) << 16) | (hex & 0xFF00) | ((hex >> 16) & 0xFF);
}
constexpr Color fade(Color color, float alpha) {
  return (color & 0x00FFFFFFu) | (static_cast<Color>(alpha * 255.0f + 0.5f) << 24);
}

struct Pair {
  Color ink = 0;
  Color back = 0;
};

// What the user chose.
struct Look {
  bool dusk = false;
  float text_scale = 1.0f;  // 1.0 … 1.6
  bool left_handed = false;
};

struct Theme {
  Look look;
  // surfaces
  Pair page;       // the ground everything stands on
  Pair card;       // raised paper
  Pair bar;        // top bar
  Pair quiet;      // quiet button, chip, unselected tab
  Pair field;      // text field
  Color faint_ink;     // secondary text, on page and card
  Color line;          // rules and outlines (not text)
  Color focus;         // keyboard focus ring
  Color low_sun;       // the thin line under the top bar
  // things to press
  Pair primary;
  Pair danger;
  Pair pad;            // the count pad
  Pair pad_pressed;
  // what is told
  Pair harder, lighter, on_target, count_more;  // verdicts
  Pair caution;        // amber notice
  Pair trouble;        // red notice
  // charts (each also told apart by shape or pattern)
  Color chart_band, chart_line, chart_mark, chart_limit, chart_grid;

  // measures
  float gap = 12;         // between widgets
  float edge = 16;        // left and right of the column
  float round = 14;       // corner radius of cards and buttons
  float target = 56;      // least height of anything to press
  float column_max = 720; // widest column on a large screen
  float page_max = 1240;  // widest page of tables and charts there
};

Theme make_theme(const Look& look);

// WCAG 2.2, "relative luminance" and "contrast ratio" (W3C Recommendation, 2023).
double relative_luminance(Color color);
double contrast_ratio(Color a, Color b);  // 1 … 21

struct NamedPair {
  std::string name;
  Pair pair;
};
// Every text colour with every ground it is drawn on.
std::vector<NamedPair> contrast_pairs(const Theme& theme);

}  // namespace nthtree::widgets
