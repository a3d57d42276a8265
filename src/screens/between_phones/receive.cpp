// SPDX-License-Identifier: Apache-2.0
// Records from another phone: a file or a chain of codes, and what came in. Taking the same twice
// changes nothing.
#include "screens/between_phones/camera.h"
#include "screens/each_screen.h"
#include "screens/parts/scene.h"
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
void what_came(Scene& scene) {
  const Taken& taken = scene.session.exchange.taken;
  const bool any = taken.fresh + taken.known + taken.set_aside > 0;
  if (!any) {
    notice(scene.ui, {.id = "taken", .tone = Tone::trouble, .title = tr("take.no_records"),
                      .text = tr("take.no_records_do"), .live = true});
    return;
  }
  const bool complete = taken.damaged == 0 && taken.set_aside == 0;
  notice(scene.ui, {.id = "taken",
                    .tone = complete ? Tone::good : Tone::caution,
                    .title = taken.fresh > 0
                                 ? tr_count("take.fresh", static_cast<int>(taken.fresh))
                                 : tr("take.nothing_new"),
                    .text = sentences(taken),
                    .live = true});
}

void result(Scene& scene) {
  const Taken& taken = scene.session.exchange.taken;
  switch (taken.state) {
    case Taken::State::none: return;
    case Taken::State::taking:
      notice(scene.ui, {.id = "taking", .tone = taken.trouble.empty() ? Tone::plain : Tone::caution,
                        .text = taken.trouble.empty()
                                    ? tr_count("take.taking", static_cast<int>(taken.fresh))
                                    : tr("take.disk"),
                        .live = true});
      return;
    case Taken::State::refused:
      notice(scene.ui, {.id = "taken", .tone = Tone::trouble, .text = tr("take.too_large"),
                        .live = true});
      return;
    case Taken::State::done: what_came(scene); return;
  }
}

// A phone that was empty has a farm now, but nobody has said who they are.
bool may_go_on(const Scene& scene) { return !scene.me() && !scene.season.people().empty(); }

void go_on(Scene& scene) {
  if (!may_go_on(scene)) return;
  if (button(scene.ui, {.id = "go_on", .label = tr("take.who")})) scene.want(Home{});
}

void ways_in(Scene& scene) {
  const Exchange& exchange = scene.session.exchange;
  const Camera& camera = exchange.camera;
  const bool unread = camera.count > 0 && camera.have < camera.count;
  // What it is for is said until something more pressing is.
  if (!unread && camera.trouble.empty() && exchange.taken.state == Taken::State::none) {
    paragraph(scene.ui, tr("take.text"));
  }
  if (unread) {
    notice(scene.ui, {.id = "unfinished", .tone = Tone::caution,
                      .text = tr("take.unfinished", {{"n", number(camera.have)},
                                                     {"all", number(camera.count)}})});
  }
  if (choice_row(scene.ui, {.id = "file", .label = tr("take.file"), .detail = tr("take.file_hint"),
                            .arrow = false, .glyph = Glyph::up})) {
    scene.want(ImportFile{});
  }
  if (!scene.session.can_scan && camera.trouble != "none") small_print(scene.ui, tr("camera.none"));
}

}  // namespace

void draw_receive(Scene& scene) {
  const Exchange& exchange = scene.session.exchange;
  std::vector<widgets::Action> actions;
  if (scene.session.can_scan && !scene.session.demo) {
    actions.push_back({.id = "scan",
                       .label = tr(exchange.camera.on ? "camera.stop" : "camera.scan_codes"),
                       .kind = may_go_on(scene) ? Kind::quiet : Kind::primary});
  }
  open(scene, {.key = "receive", .title = tr("take.title"), .actions = actions});
  if (scene.session.demo) {
    paragraph(scene.ui, tr("hand.demo"));
    finish(scene);
    return;
  }
  camera_trouble(scene);
  if (exchange.camera.on) {
    camera_here(scene);
  } else {
    result(scene);
    go_on(scene);
    ways_in(scene);
  }
  if (scene.bar.action == "scan") {
    scene.want(exchange.camera.on ? Intent(StopScan{}) : Intent(StartScan{}));
  }
  finish(scene);
  if (asked(scene, "other_farm", tr("take.other_title"),
            tr("take.other_text", {{"theirs", exchange.taken.other_farm},
                                   {"ours", scene.season.farm().name}}),
            tr("take.other_yes"), tr("take.other_no"))) {
    scene.want(TakeOffered{});
  }
}

}  // namespace nthtree::screens
