// SPDX-License-Identifier: Apache-2.0
// Records to another phone without a network: which, how much that is, and by which way.
#include <algorithm>
#include <vector>

#include "screens/each_screen.h"
#include "screens/parts/parts.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr double patience_s = 60;  // longer than this nobody holds two phones still

std::string size_text(std::int64_t bytes) {
  const double size = static_cast<double>(bytes);
  if (size >= 1e6) return tr("hand.megabytes", {{"n", number(size / 1e6, 1)}});
  return tr("hand.kilobytes", {{"n", number(std::max(1.0, size / 1e3))}});
}

std::string duration_text(double seconds) {
  if (seconds < 90) return tr_count("hand.seconds", std::max(1, static_cast<int>(seconds + 0.5)));
  return tr_count("hand.minutes", static_cast<int>(seconds / 60 + 0.5));
}

double round_s(const Showing& showing) {
  return showing.codes * code_ms[static_cast<std::size_t>(showing.pace)] / 1000.0;
}

const char* part_key(Part part) {
  if (part == Part::unsent) return "hand.unsent";
  return part == Part::today ? "hand.today" : "hand.everything";
}

void choose_part(Scene& scene) {
  const Exchange& exchange = scene.session.exchange;
  std::vector<Part> offered = {Part::today, Part::everything};
  // Of a phone that never had a hub nothing is sent: that would be everything under another name.
  if (scene.session.sync.link != Link::never_paired) offered.insert(offered.begin(), Part::unsent);
  widgets::RadioList list{.id = "part", .label = tr("hand.which")};
  for (Part part : offered) {
    const Parcel& parcel = exchange.parcels[static_cast<std::size_t>(part)];
    list.items.push_back({.id = "part/" + std::to_string(static_cast<int>(part)),
                          .label = tr(part_key(part)),
                          .detail = tr_count("hand.records", static_cast<int>(parcel.records)) +
                                    (parcel.records > 0 ? ", " + size_text(parcel.bytes) : "")});
    if (part == exchange.showing.part) list.selected = static_cast<int>(list.items.size()) - 1;
  }
  const int chosen = radio_list(scene.ui, list);
  if (chosen >= 0 && chosen != list.selected) {
    scene.want(ChoosePart{offered[static_cast<std::size_t>(chosen)]});
  }
}

void codes_row(Scene& scene) {
  const Showing& showing = scene.session.exchange.showing;
  using State = Showing::State;
  std::string detail = tr("hand.codes_making");
  if (showing.state == State::failed) {
    detail = tr(showing.trouble == "too_many" ? "hand.codes_too_many" : "codes.failed");
  } else if (showing.state == State::ready) {
    detail = tr_count("hand.codes_n", showing.codes) + ", " +
             tr("hand.codes_time", {{"time", duration_text(round_s(showing))}});
  }
  if (choice_row(scene.ui, {.id = "codes", .label = tr("hand.codes"), .detail = detail,
                            .enabled = showing.state == State::ready,
                            .glyph = Glyph::camera})) {
    scene.go(ScreenId::show_codes);
  }
  if (showing.state == State::ready && round_s(showing) > patience_s) {
    notice(scene.ui, {.id = "many", .tone = Tone::caution, .text = tr("hand.many")});
  }
}

void ways_out(Scene& scene) {
  if (scene.session.exchange.parcel().records == 0) {
    paragraph(scene.ui, tr("hand.nothing"));
    return;
  }
  heading(scene.ui, tr("hand.ways"));
  codes_row(scene);
  if (scene.session.exchange.can_share &&
      choice_row(scene.ui, {.id = "sheet", .label = tr("hand.sheet"),
                            .detail = tr("hand.sheet_hint"), .arrow = false,
                            .glyph = Glyph::share})) {
    scene.want(HandOver{true});
  }
  save_file_row(scene);
}

}  // namespace

void draw_hand_over(Scene& scene) {
  open(scene, {.key = "hand_over", .title = tr("hand.title")});
  if (scene.session.demo) {
    paragraph(scene.ui, tr("hand.demo"));
    finish(scene);
    return;
  }
  paragraph(scene.ui, tr("hand.text"));
  side_by_side(scene, [&] { choose_part(scene); }, [&] { ways_out(scene); });
  heading(scene.ui, tr("hand.other_way"));
  menu_row(scene, "receive", tr("take.title"), ScreenId::receive, Glyph::up);
  finish(scene);
}

}  // namespace nthtree::screens
