// SPDX-License-Identifier: Apache-2.0
// Records from another phone: a file or a chain of codes, and what came in. Taking the same twice
// changes nothing.
#include "screens/between_phones/camera.h"
#include "screens/each_screen.h"
#include "screens/parts/frame.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

std::string sentences(const Taken& taken) {
  std::string text;
  const auto say = [&text](const char* key, std::int64_t n) {
    if (n == 0) return;
    if (!text.empty()) text += " ";
    text += tr_count(key, static_cast<int>(n));
  };
  say("take.known", taken.known);
  say("take.set_aside", taken.set_aside);
  say("take.damaged", taken.damaged);
  return text;
}

// All came, part of it came, or it was something else altogether.
void what_came(Frame& frame) {
  const Taken& taken = frame.session.exchange.taken;
  const bool any = taken.fresh + taken.known + taken.set_aside > 0;
  if (!any) {
    notice(frame.ui, {.id = "taken", .tone = Tone::trouble, .title = tr("take.no_records"),
                      .text = tr("take.no_records_do"), .live = true});
    return;
  }
  const bool complete = taken.damaged == 0 && taken.set_aside == 0;
  notice(frame.ui, {.id = "taken",
                    .tone = complete ? Tone::good : Tone::caution,
                    .title = taken.fresh > 0
                                 ? tr_count("take.fresh", static_cast<int>(taken.fresh))
                                 : tr("take.nothing_new"),
                    .text = sentences(taken),
                    .live = true});
}

void result(Frame& frame) {
  const Taken& taken = frame.session.exchange.taken;
  switch (taken.state) {
    case Taken::State::none: return;
    case Taken::State::taking:
      notice(frame.ui, {.id = "taking", .tone = taken.trouble.empty() ? Tone::plain : Tone::caution,
                        .text = taken.trouble.empty()
                                    ? tr_count("take.taking", static_cast<int>(taken.fresh))
                                    : tr("take.disk"),
                        .live = true});
      return;
    case Taken::State::refused:
      notice(frame.ui, {.id = "taken", .tone = Tone::trouble, .text = tr("take.too_large"),
                        .live = true});
      return;
    case Taken::State::done: what_came(frame); return;
  }
}

// A phone that was empty has a farm now, but nobody has said who they are.
bool may_go_on(const Frame& frame) { return !frame.me() && !frame.season.people().empty(); }

void go_on(Frame& frame) {
  if (!may_go_on(frame)) return;
  if (button(frame.ui, {.id = "go_on", .label = tr("take.who")})) frame.want(Home{});
}

void ways_in(Frame& frame) {
  const Exchange& exchange = frame.session.exchange;
  const Camera& camera = exchange.camera;
  const bool unread = camera.count > 0 && camera.have < camera.count;
  // What it is for is said until something more pressing is.
  if (!unread && camera.trouble.empty() && exchange.taken.state == Taken::State::none) {
    paragraph(frame.ui, tr("take.text"));
  }
  if (unread) {
    notice(frame.ui, {.id = "unfinished", .tone = Tone::caution,
                      .text = tr("take.unfinished", {{"n", number(camera.have)},
                                                     {"all", number(camera.count)}})});
  }
  if (choice_row(frame.ui, {.id = "file", .label = tr("take.file"), .detail = tr("take.file_hint"),
                            .arrow = false, .glyph = Glyph::up})) {
    frame.want(ImportFile{});
  }
  if (!frame.session.can_scan && camera.trouble != "none") small_print(frame.ui, tr("camera.none"));
}

}  // namespace

void draw_receive(Frame& frame) {
  const Exchange& exchange = frame.session.exchange;
  std::vector<widgets::Action> actions;
  if (frame.session.can_scan && !frame.session.demo) {
    actions.push_back({.id = "scan",
                       .label = tr(exchange.camera.on ? "camera.stop" : "camera.scan_codes"),
                       .kind = may_go_on(frame) ? Kind::quiet : Kind::primary});
  }
  open(frame, {.key = "receive", .title = tr("take.title"), .actions = actions});
  if (frame.session.demo) {
    paragraph(frame.ui, tr("hand.demo"));
    finish(frame);
    return;
  }
  camera_trouble(frame);
  if (exchange.camera.on) {
    camera_here(frame);
  } else {
    result(frame);
    go_on(frame);
    ways_in(frame);
  }
  if (frame.bar.action == "scan") {
    frame.want(exchange.camera.on ? Intent(StopScan{}) : Intent(StartScan{}));
  }
  finish(frame);
  if (asked(frame, "other_farm", tr("take.other_title"),
            tr("take.other_text", {{"theirs", exchange.taken.other_farm},
                                   {"ours", frame.season.farm().name}}),
            tr("take.other_yes"), tr("take.other_no"))) {
    frame.want(TakeOffered{});
  }
}

}  // namespace nthtree::screens
