// SPDX-License-Identifier: Apache-2.0
// Records to another phone without a network: which, how much that is, and by which way.
#include <algorithm>
#include <vector>

#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
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

const char* batch_key(Batch batch) {
  if (batch == Batch::unsent) return "hand.unsent";
  return batch == Batch::today ? "hand.today" : "hand.everything";
}

void choose_part(Frame& frame) {
  const Exchange& exchange = frame.session.exchange;
  std::vector<Batch> offered = {Batch::today, Batch::everything};
  // Of a phone that never had a hub nothing is sent: that would be everything under another name.
  if (frame.session.sync.link != Link::never_paired) offered.insert(offered.begin(), Batch::unsent);
  widgets::RadioList list{.id = "part", .label = tr("hand.which")};
  for (Batch batch : offered) {
    const BatchSize& size = exchange.batch_sizes[static_cast<std::size_t>(batch)];
    list.items.push_back({.id = "part/" + std::to_string(static_cast<int>(batch)),
                          .label = tr(batch_key(batch)),
                          .detail = tr_count("hand.records", static_cast<int>(size.records)) +
                                    (size.records > 0 ? ", " + size_text(size.bytes) : "")});
    if (batch == exchange.showing.batch) list.selected = static_cast<int>(list.items.size()) - 1;
  }
  const int chosen = radio_list(frame.ui, list);
  if (chosen >= 0 && chosen != list.selected) {
    frame.want(ChooseBatch{offered[static_cast<std::size_t>(chosen)]});
  }
}

void codes_row(Frame& frame) {
  const Showing& showing = frame.session.exchange.showing;
  using State = Showing::State;
  std::string detail = tr("hand.codes_making");
  if (showing.state == State::failed) {
    detail = tr(showing.trouble == "too_many" ? "hand.codes_too_many" : "codes.failed");
  } else if (showing.state == State::ready) {
    detail = tr_count("hand.codes_n", showing.codes) + ", " +
             tr("hand.codes_time", {{"time", duration_text(round_s(showing))}});
  }
  if (choice_row(frame.ui, {.id = "codes", .label = tr("hand.codes"), .detail = detail,
                            .enabled = showing.state == State::ready,
                            .glyph = Glyph::camera})) {
    frame.go(ScreenId::show_codes);
  }
  if (showing.state == State::ready && round_s(showing) > patience_s) {
    notice(frame.ui, {.id = "many", .tone = Tone::caution, .text = tr("hand.many")});
  }
}

void ways_out(Frame& frame) {
  if (frame.session.exchange.batch_size().records == 0) {
    paragraph(frame.ui, tr("hand.nothing"));
    return;
  }
  heading(frame.ui, tr("hand.ways"));
  codes_row(frame);
  if (frame.session.exchange.can_share &&
      choice_row(frame.ui, {.id = "sheet", .label = tr("hand.sheet"),
                            .detail = tr("hand.sheet_hint"), .arrow = false,
                            .glyph = Glyph::share})) {
    frame.want(HandOver{true});
  }
  save_file_row(frame);
}

}  // namespace

void draw_hand_over(Frame& frame) {
  open(frame, {.key = "hand_over", .title = tr("hand.title")});
  if (frame.session.demo) {
    paragraph(frame.ui, tr("hand.demo"));
    finish(frame);
    return;
  }
  paragraph(frame.ui, tr("hand.text"));
  side_by_side(frame, [&] { choose_part(frame); }, [&] { ways_out(frame); });
  heading(frame.ui, tr("hand.other_way"));
  menu_row(frame, "receive", ScreenId::receive);
  finish(frame);
}

}  // namespace nthtree::screens
