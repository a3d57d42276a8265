// SPDX-License-Identifier: Apache-2.0
// Earlier days, and every count of the season as one list that may be thousands long.
#include <map>

#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string line_text(const Frame& frame, const CountLine& line) {
  return person_text(frame.season, line.author) + ", " + tree_in_text(line.tree);
}

std::string lower(std::string text) {  // ASCII: good enough to find a name by its letters
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

std::vector<CountLine> filtered(const Frame& frame, const std::vector<CountLine>& lines) {
  const std::string wanted = lower(frame.session.filter);
  std::vector<CountLine> found;
  for (const CountLine& line : lines) {
    const std::string text =
        lower(line_text(frame, line) + " " + block_text(frame.season, line.block));
    if (text.find(wanted) != std::string::npos) found.push_back(line);
  }
  return found;
}

void days(Frame& frame, const std::vector<CountLine>& lines) {
  std::map<std::int64_t, int, std::greater<>> by_day;
  for (const CountLine& line : lines) ++by_day[frame.season.day_of(line.at_ms)];
  for (const auto& [day, counts] : by_day) {
    if (choice_row(frame.ui, {.id = "day/" + std::to_string(day),
                              .label = day_text(day, frame.today()),
                              .detail = tr_count("counts_n", counts)})) {
      frame.want(SetDay{day == frame.today() ? 0 : day});
      frame.go(ScreenId::review);
    }
  }
}

// Closed seasons are out of the way: their counts are a tap away.
bool asks_for_closed(Frame& frame) {
  if (frame.season.spans().size() < 2) return false;
  return Form(frame).flag("history/closed", tr("history.closed"), false);
}

void counts(Frame& frame, const std::vector<CountLine>& lines) {
  heading(frame.ui, tr("history.all"));
  if (auto typed = text_field(frame.ui, {.id = "filter", .label = tr("history.filter"),
                                         .value = frame.session.filter})) {
    frame.want(SetFilter{*typed});
  }
  if (lines.empty()) paragraph(frame.ui, tr("history.none"));
  const int count = static_cast<int>(lines.size());
  long_list(frame.ui, {.id = "counts", .label = tr("history.all"), .rows = count,
                       .row_height = 88},
            [&](int i) {
              const CountLine& line = lines[static_cast<std::size_t>(i)];
              if (choice_row(frame.ui, {.id = "entry/" + line.id.text(),
                                        .label = line_text(frame, line),
                                        .detail = tr(line.kind_key) + ", " +
                                                  time_text(frame.season, line.at_ms),
                                        .trailing = whole(line.number),
                                        .position = i + 1, .set_size = count})) {
                frame.want(Go{Stop{ScreenId::entry, line.block, {}, {}, line.id.text()}});
              }
            });
}

}  // namespace

void draw_history(Frame& frame) {
  open(frame, {.key = "history", .title = tr("history.title"), .full = true});
  const bool closed = asks_for_closed(frame);
  const std::vector<CountLine>& all =
      frame.cache.lines(frame.season, "", 0, closed ? Seasons::closed : Seasons::at_hand);
  if (all.empty()) {
    const bool has_closed = frame.season.spans().size() > 1 && !closed;
    empty_state(frame.ui, {.id = "none", .glyph = Glyph::note,
                           .text = tr(has_closed ? "history.new_season" : "history.empty")});
    return finish(frame);
  }
  const bool narrowed = !frame.session.filter.empty();
  const std::vector<CountLine> some = narrowed ? filtered(frame, all) : std::vector<CountLine>{};
  const auto found = [&] { counts(frame, narrowed ? some : all); };
  // A closed season's day has no page of its own any more: the season has (seasons side by side).
  if (frame.ui.desk() && !closed) {
    frame.ui.row({1, 2}, [&] { days(frame, all); }, found);
  } else {
    if (!narrowed && !closed) days(frame, all);
    found();
  }
  finish(frame);
}

}  // namespace nthtree::screens
