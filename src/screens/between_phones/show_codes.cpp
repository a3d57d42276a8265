// SPDX-License-Identifier: Apache-2.0
// A chain of codes, one after another and round and round, for the other phone's camera. Nobody
// answers here: showing marks nothing as sent.
#include <algorithm>

#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr float side_max = 640;   // a tablet held at arm's length needs no more
constexpr float below_wide = 16;  // a lying phone: the code takes the height

void picture(Frame& frame) {
  const Showing& showing = frame.session.exchange.showing;
  if (showing.modules_a_side == 0) return paragraph(frame.ui, tr("hand.codes_making"));
  // The words below scroll; the code must not.
  const float height = std::max(200.0f, frame.ui.room() - below_wide);
  qr_picture(frame.ui, {.id = "code",
                        .label = tr("codes.n_of", {{"n", number(showing.code)},
                                                   {"all", number(showing.codes)}}),
                        .size = showing.modules_a_side,
                        .modules = showing.modules,
                        .width_max = std::min(side_max, height),
                        .edge_to_edge = !frame.ui.two_columns()});
}

void pace(Frame& frame) {
  const Showing& showing = frame.session.exchange.showing;
  const int last = static_cast<int>(code_ms.size()) - 1;
  paragraph(frame.ui,
            tr_count("codes.pace", 1000 / code_ms[static_cast<std::size_t>(showing.pace)]));
  const auto step = [&](const char* id, const char* key, int by) {
    if (button(frame.ui, {.id = id, .label = tr(key), .kind = Kind::quiet,
                          .enabled = by < 0 ? showing.pace > 0 : showing.pace < last})) {
      frame.want(SetPace{std::clamp(showing.pace + by, 0, last)});
    }
  };
  frame.ui.row({1, 1}, [&] { step("slower", "codes.slower", -1); },
               [&] { step("faster", "codes.faster", 1); });
}

void number_by_hand(Frame& frame) {
  const Showing& showing = frame.session.exchange.showing;
  const int change = stepper(frame.ui, {.id = "number", .label = tr("codes.number"),
                                        .value = static_cast<double>(showing.code),
                                        .minimum = 1,
                                        .maximum = static_cast<double>(showing.codes)});
  if (change != 0) frame.want(ShowCode{std::clamp(showing.code + change, 1, showing.codes)});
}

const char* pause_key(const Showing& showing) {
  return showing.paused ? "codes.go_on" : "codes.pause";
}

void words(Frame& frame) {
  const Showing& showing = frame.session.exchange.showing;
  // A lying phone has no height to spare for a bar below the code.
  if (frame.ui.wide() && showing.codes > 1 &&
      button(frame.ui, {.id = "pause", .label = tr(pause_key(showing))})) {
    frame.want(PauseCodes{!showing.paused});
  }
  std::string where = tr("codes.n_of", {{"n", number(showing.code)},
                                        {"all", number(showing.codes)}});
  if (showing.codes > 1) where += ". " + tr("codes.round", {{"n", number(showing.round)}});
  strong_line(frame.ui, where);
  if (showing.codes > 1) showing.paused ? number_by_hand(frame) : pace(frame);
  paragraph(frame.ui, tr("codes.hint"));
}

}  // namespace

void draw_show_codes(Frame& frame) {
  const Showing& showing = frame.session.exchange.showing;
  const bool ready = showing.state == Showing::State::ready && !frame.session.demo;
  std::vector<widgets::Action> actions;
  if (ready && showing.codes > 1 && !frame.ui.wide()) {
    actions.push_back({.id = "pause", .label = tr(pause_key(showing))});
  }
  open(frame, {.key = "codes", .title = tr("codes.title"), .actions = actions});
  if (frame.session.demo) {
    paragraph(frame.ui, tr("hand.demo"));
  } else if (showing.state == Showing::State::failed) {
    notice(frame.ui, {.id = "failed", .tone = Tone::trouble,
                      .text = tr(showing.trouble == "too_many" ? "hand.codes_too_many"
                                                               : "codes.failed"),
                      .live = true});
    save_file_row(frame);
  } else if (!ready) {
    paragraph(frame.ui, tr("hand.codes_making"));
  } else {
    side_by_side(frame, [&] { picture(frame); }, [&] { words(frame); });
  }
  if (frame.bar.action == "pause") frame.want(PauseCodes{!showing.paused});
  finish(frame);
}

}  // namespace nthtree::screens
