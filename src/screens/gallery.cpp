// SPDX-License-Identifier: Apache-2.0
#include "screens/gallery.h"

#include <algorithm>
#include <cmath>

namespace nthtree::screens {

using namespace widgets;

bool Gallery::draw(Ui& ui) {
  const Look before = look_;
  switch (page_) {
    case Page::count: draw_count(ui); break;
    case Page::controls: draw_controls(ui); break;
    case Page::reading: draw_reading(ui); break;
    case Page::charts: draw_charts(ui); break;
    case Page::list: draw_list(ui); break;
    case Page::contents: {
      open_screen(ui, {.key = "gallery", .title = "Gallery", .person = "Ana",
                       .status = "3 waiting"});
      paragraph(ui, "Every widget of the app. Nothing here is kept.");
      const struct {
        Page page;
        const char *id, *label, *detail;
        Glyph glyph;
      } rows[] = {
          {Page::count, "open/count", "Count", "Pad, stepper, verdict", Glyph::bud},
          {Page::controls, "open/controls", "Controls", "Buttons, fields, choices", Glyph::gear},
          {Page::reading, "open/reading", "Reading", "Texts, notices, tables", Glyph::note},
          {Page::charts, "open/charts", "Charts", "Band, line, map, bars, QR", Glyph::level},
          {Page::list, "open/list", "Long list", "5,000 rows", Glyph::menu},
      };
      for (const auto& row : rows) {
        if (choice_row(ui, {.id = row.id, .label = row.label, .detail = row.detail,
                            .glyph = row.glyph})) {
          page_ = row.page;
        }
      }
      heading(ui, "Look");
      if (toggle(ui, {.id = "dusk", .label = "Dusk", .detail = "Dark theme for the office",
                      .on = look_.dusk})) {
        look_.dusk = !look_.dusk;
      }
      if (toggle(ui, {.id = "left", .label = "Left hand", .on = look_.left_handed})) {
        look_.left_handed = !look_.left_handed;
      }
      const int steps = stepper(ui, {.id = "scale", .label = "Text size",
                                     .value = std::round(look_.text_scale * 100), .minimum = 100,
                                     .maximum = 160, .step = 10, .unit = "%"});
      const float scale = look_.text_scale + 0.1f * static_cast<float>(steps);
      look_.text_scale = std::clamp(scale, 1.0f, 1.6f);
      close_screen(ui);
    }
  }
  return before.dusk != look_.dusk || before.left_handed != look_.left_handed ||
         before.text_scale != look_.text_scale;
}

void Gallery::draw_count(Ui& ui) {
  const Bar bar = open_screen(
      ui, {.key = "gallery/count", .title = "Row 4, tree 17", .back = true, .person = "Ana",
           .actions = {{.id = "save", .label = "Save", .enabled = count_ > 0, .weight = 2},
                       {.id = "undo", .label = "Undo", .kind = Kind::quiet,
                        .enabled = count_ > 0}},
           .message = toast_ ? "Saved on this phone" : ""});
  count_ += tap_pad(ui, {.id = "pad", .label = "Tap for each spur", .value = number(count_),
                         .caption = "spurs, limb 2 of 5", .leave = 56 + 24});
  ui.hand_row({1, 1, 1},
              [&] { count_ -= button(ui, {.id = "minus", .label = "−1", .kind = Kind::quiet}); },
              [&] { count_ += 5 * button(ui, {.id = "five", .label = "+5", .kind = Kind::quiet}); },
              [&] { button(ui, {.id = "limb", .label = "Next limb", .kind = Kind::quiet}); });
  close_screen(ui);
  count_ = std::max(0, count_);
  if (toast_ && toast(ui, {.id = "saved", .text = "Saved on this phone", .action = "Undo"})) {
    toast_ = false;
  }
  if (ask_) {
    const int answer = question(ui, {.id = "drop", .title = "Drop this count?",
                                     .text = "The spurs counted on this tree are forgotten.",
                                     .yes = "Drop it", .no = "Keep counting", .danger = true});
    if (answer) ask_ = false;
    if (answer > 0) count_ = 0;
  }
  if (bar.action == "undo") ask_ = true;
  if (bar.action == "save") {
    toast_ = true;
    count_ = 0;
  }
  if (bar.back) page_ = Page::contents;
}

void Gallery::draw_controls(Ui& ui) {
  const Bar bar =
      open_screen(ui, {.key = "gallery/controls", .title = "Controls", .back = true,
                       .person = "Ana"});
  chosen_ = segments(ui, {.id = "pages", .label = "Page",
                          .items = {{"pages/1", "Buttons"}, {"pages/2", "Keypad"}},
                          .selected = chosen_, .hide_label = true, .tabs = true});
  if (chosen_ == 1) {
    for (char key : keypad(ui, {.id = "keys", .label = "Spurs counted", .value = typed_,
                                .unit = "spurs"})) {
      if (key == 'b') {
        if (!typed_.empty()) typed_.pop_back();
      } else if (key == 'c') {
        typed_.clear();
      } else {
        typed_ += key;
      }
    }
  } else {
    button(ui, {.id = "b1", .label = "Start counting", .glyph = Glyph::bud});
    ui.row({1, 1}, [&] { button(ui, {.id = "b2", .label = "Share", .kind = Kind::quiet,
                                     .glyph = Glyph::share}); },
           [&] { button(ui, {.id = "b3", .label = "Remove", .kind = Kind::danger}); });
    button(ui, {.id = "b4", .label = "Not possible now", .enabled = false});
    if (auto text = text_field(ui, {.id = "name", .label = "Name", .value = name_,
                                    .hint = "as on the crew list"})) {
      name_ = *text;
    }
    text_field(ui, {.id = "wrong", .label = "Trees in a row", .value = "0",
                    .error = "A row has at least one tree.", .numeric = true});
    if (auto day = date_field(ui, {.id = "day", .label = "Green tip", .value = day_})) day_ = *day;
    tolerance_ += stepper(ui, {.id = "tolerance", .label = "Tolerance", .value = 1.0 * tolerance_,
                               .minimum = 1, .maximum = 20, .unit = "%"});
    if (toggle(ui, {.id = "buzz", .label = "Buzz on each tap", .detail = "Where the phone can",
                    .on = switched_})) {
      switched_ = !switched_;
    }
    radio_ = radio_list(ui, {.id = "role", .label = "Who are you today?",
                             .items = {{.id = "role/p", .label = "Pruner",
                                        .detail = "Counts trees, sees own day"},
                                       {.id = "role/l", .label = "Lead",
                                        .detail = "Re-counts, gives advice"},
                                       {.id = "role/m", .label = "Manager"}},
                             .selected = radio_});
  }
  close_screen(ui);
  if (bar.back) page_ = Page::contents;
}

void Gallery::draw_reading(Ui& ui) {
  const Bar bar = open_screen(ui, {.key = "gallery/reading", .title = "Reading", .back = true,
                                   .person = "Ana"});
  const struct {
    const char *id, *word, *figure, *unit, *detail;
  } verdicts[] = {
      {"v0", "Harder", "−12", "spurs a tree", "Sure enough after 6 trees."},
      {"v1", "Lighter", "+9", "spurs a tree", "Leave about one limb more on each tree."},
      {"v2", "On target", "", "", "Inside the band. Next count in 100 trees."},
      {"v3", "Count more", "", "", "About 3 more trees will tell."},
  };
  verdict_ = segments(ui, {.id = "which", .label = "Verdict",
                           .items = {{"which/0", "Hard"}, {"which/1", "Light"}, {"which/2", "On"},
                                     {"which/3", "More"}},
                           .selected = verdict_});
  const auto& v = verdicts[verdict_];
  verdict_card(ui, {.id = "verdict", .kind = static_cast<VerdictSign>(verdict_), .word = v.word,
                    .figure = v.figure, .unit = v.unit, .detail = v.detail});
  verdict_card(ui, {.id = "small", .kind = VerdictSign::lighter, .word = "Lighter by 9",
                    .large = false, .live = false});
  heading(ui, "The block");
  fact(ui, "Target", "412 spurs a tree");
  fact(ui, "Counted", "17 of 40 trees");
  fact(ui, "Corrected for what counters miss, with its interval", "388 to 437 spurs a tree");
  progress(ui, "done", "Rows done", 0.42f);
  pill(ui, "Accepted", Tone::good);
  pill(ui, "3 trees to revisit", Tone::caution);
  big_number(ui, "412", "spurs to leave on each tree");
  notice(ui, {.id = "ladder", .tone = Tone::caution, .title = "Ladders",
              .text = "Three points of contact; set the third leg uphill. Your farm's own rules "
                      "come first."});
  notice(ui, {.id = "full", .tone = Tone::trouble, .title = "The phone is full",
              .text = "The last count is not saved yet.", .action = "Make room", .live = true});
  table(ui, {.id = "crew", .label = "Crew today", .header = {"Name", "Trees", "Mean"},
             .rows = {{"Ana", "6", "421"}, {"Berta", "5", "398"}, {"Chidi", "7", "455"}},
             .weights = {2, 1, 1}, .numeric = {false, true, true}});
  small_print(ui, "Decision support. What to cut is decided at the tree.");
  empty_state(ui, {.id = "empty", .title = "No counts yet",
                   .text = "The first tag of this block is on row 1, tree 9.",
                   .action = "Count it"});
  close_screen(ui);
  if (bar.back) page_ = Page::contents;
}

void Gallery::draw_charts(Ui& ui) {
  const Bar bar = open_screen(ui, {.key = "gallery/charts", .title = "Charts", .back = true,
                                   .person = "Ana"});
  heading(ui, "Standing against the band");
  band_chart(ui, {.id = "band", .label = "Ana on target, Berta lighter, Chidi harder",
                  .band_low = 391, .target = 412, .band_high = 433,
                  .rows = {{"Ana", 402, 421, 440, "421", VerdictSign::on_target},
                           {"Berta", 352, 371, 389, "371", VerdictSign::lighter},
                           {"Chidi", 440, 466, 492, "466", VerdictSign::harder},
                           {"Dolores", 370, 418, 467, "418", VerdictSign::count_more}},
                  .band_text = "Band 391 to 433 spurs a tree"});
  heading(ui, "Drift");
  line_chart(ui, {.id = "drift", .label = "Chidi drifts up since Tuesday",
                  .points = {0, -0.4, 0.3, -0.2, 0.5, 0.2, 1.1, 1.9, 2.6, 3.4, 4.4},
                  .limits = {4, -4}, .changed_at = 5, .changed_text = "since Tuesday",
                  .first_text = "Monday", .last_text = "today"});
  heading(ui, "The block from above");
  BlockMap map{.id = "map", .label = "24 rows, 60 trees each; counted rows 1 to 14", .rows = 24,
               .trees = 60, .here_row = 14, .here_tree = 38};
  for (int i = 0; i < 44; ++i) {
    const int at = 37 * i + 8;
    map.cells.push_back(
        {at / 60 % 24 + 1, at % 60 + 1, static_cast<VerdictSign>(i * 7 % 4), i > 24});
  }
  block_map(ui, map);
  heading(ui, "Hours");
  bar_chart(ui, {.id = "hours", .label = "Hours by block",
                 .rows = {{"Mill", 31, "31 h"}, {"Lower slope", 54, "54 h", true},
                          {"Creek", 12, "12 h"}},
                 .mark = 40, .mark_text = "planned 40 h"});
  limb_picture(ui, {.id = "limb_rule", .label = "Which piece belongs to which limb"});
  limb_picture(ui, {.id = "limbs", .label = "Limb 3, then every 4th of 19", .limbs = 19, .start = 3,
                    .step = 4, .now = 7});
  QrPicture code{.id = "code", .label = "A pattern in the shape of a code", .size = 29,
                 .width_max = 260};
  for (int i = 0; i < 29 * 29; ++i) {
    const int x = i % 29, y = i / 29;
    const auto eye = [&](int ex, int ey) {
      const int d = std::max(std::abs(x - ex), std::abs(y - ey));
      return d == 3 || d <= 1;
    };
    const bool noise = (x * y * 7 + x * 3 + y) % 5 < 2;
    code.modules.push_back(eye(3, 3) || eye(25, 3) || eye(3, 25) || noise);
  }
  qr_picture(ui, code);
  viewfinder(ui, {.id = "camera", .label = "Where a camera's picture stands",
                  .waiting = "The camera starts …", .height = 180});
  close_screen(ui);
  if (bar.back) page_ = Page::contents;
}

void Gallery::draw_list(Ui& ui) {
  const Bar bar = open_screen(ui, {.key = "gallery/list", .title = "Long list", .back = true,
                                   .person = "Ana"});
  long_list(ui, {.id = "trees", .label = "Trees", .rows = 5000, .row_height = 76}, [&](int row) {
    choice_row(ui, {.id = "tree/" + std::to_string(row),
                    .label = "Row " + std::to_string(row / 60 + 1) + ", tree " +
                             std::to_string(row % 60 + 1),
                    .detail = row % 3 ? "counted" : "tagged", .trailing = row % 3 ? "412" : "",
                    .position = row + 1, .set_size = 5000});
  });
  close_screen(ui);
  if (bar.back) page_ = Page::contents;
}

}  // namespace nthtree::screens
