// SPDX-License-Identifier: Apache-2.0
// Earlier days, and every count of the season as one list that may be thousands long.
#include <map>

#include "screens/each_screen.h"
#include "screens/parts/entries.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string line_text(const Scene& scene, const CountLine& line) {
  return person_text(scene.season, line.author) + ", " + tree_in_text(line.tree);
}

std::string lower(std::string text) {  // ASCII: good enough to find a name by its letters
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

std::vector<CountLine> filtered(const Scene& scene) {
  const std::string wanted = lower(scene.session.filter);
  std::vector<CountLine> found;
  for (const CountLine& line : scene.reckoning.lines(scene.season, "", 0)) {
    const std::string text =
        lower(line_text(scene, line) + " " + block_text(scene.season, line.block));
    if (text.find(wanted) != std::string::npos) found.push_back(line);
  }
  return found;
}

void days(Scene& scene, const std::vector<CountLine>& lines) {
  std::map<std::int64_t, int, std::greater<>> by_day;
  for (const CountLine& line : lines) ++by_day[scene.season.day_of(line.at_ms)];
  for (const auto& [day, counts] : by_day) {
    if (choice_row(scene.ui, {.id = "day/" + std::to_string(day),
                              .label = day_text(day, scene.today()),
                              .detail = tr_count("counts_n", counts)})) {
      scene.want(SetDay{day == scene.today() ? 0 : day});
      scene.go(ScreenId::review);
    }
  }
}

void counts(Scene& scene, const std::vector<CountLine>& lines) {
  heading(scene.ui, tr("history.all"));
  if (auto typed = text_field(scene.ui, {.id = "filter", .label = tr("history.filter"),
                                         .value = scene.session.filter})) {
    scene.want(SetFilter{*typed});
  }
  if (lines.empty()) paragraph(scene.ui, tr("history.none"));
  const int count = static_cast<int>(lines.size());
  long_list(scene.ui, {.id = "counts", .label = tr("history.all"), .rows = count,
                       .row_height = 88},
            [&](int i) {
              const CountLine& line = lines[static_cast<std::size_t>(i)];
              if (choice_row(scene.ui, {.id = "entry/" + line.id.text(),
                                        .label = line_text(scene, line),
                                        .detail = tr(line.kind_key) + ", " +
                                                  time_text(scene.season, line.at_ms),
                                        .trailing = whole(line.number),
                                        .position = i + 1, .set_size = count})) {
                scene.want(Go{Stop{ScreenId::entry, line.block, {}, {}, line.id.text()}});
              }
            });
}

}  // namespace

void draw_history(Scene& scene) {
  open(scene, {.key = "history", .title = tr("history.title"), .full = true});
  const std::vector<CountLine>& all = scene.reckoning.lines(scene.season, "", 0);
  if (all.empty()) {
    empty_state(scene.ui, {.id = "none", .glyph = Glyph::note,
                           .text = tr("history.empty")});
    return finish(scene);
  }
  const bool narrowed = !scene.session.filter.empty();
  const std::vector<CountLine> some = narrowed ? filtered(scene) : std::vector<CountLine>{};
  const auto found = [&] { counts(scene, narrowed ? some : all); };
  if (scene.ui.desk()) {
    scene.ui.row({1, 2}, [&] { days(scene, all); }, found);
  } else {
    if (!narrowed) days(scene, all);
    found();
  }
  finish(scene);
}

}  // namespace nthtree::screens
