// SPDX-License-Identifier: Apache-2.0
// Joining a farm with a code that works once, typed or scanned.
#include <cctype>

#include "screens/between_phones/camera.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/scene.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

constexpr std::size_t code_letters = 10;

// Spaces and hyphens are how people read a code aloud; capitals do not matter.
std::string plain_code(const std::string& typed) {
  std::string code;
  for (char c : typed) {
    if (c == ' ' || c == '-') continue;
    code.push_back(static_cast<char>(std::toupper(static_cast<unsigned char>(c))));
  }
  return code;
}

bool is_code(const std::string& code) {
  if (code.size() != code_letters) return false;
  for (char c : code) {
    if (!std::isalnum(static_cast<unsigned char>(c))) return false;
  }
  return true;
}

// Why the hub did not take the code, and what helps.
std::string refusal_text(const SyncSummary& sync) {
  const auto with_time = [&](const char* key) {
    return tr(key, {{"time", tr_count("hand.minutes", sync.code_minutes)}});
  };
  if (sync.code_minutes > 0) {
    if (sync.trouble == "code_unknown") return with_time("join.unknown");
    if (sync.trouble == "code_used") return with_time("join.used");
    if (sync.trouble == "code_expired") return with_time("join.expired");
  }
  if (sync.trouble == "slow_down") return tr("join.slow_down");
  if (sync.trouble == "foreign_page") return tr("join.foreign_page");
  return tr("join.refused");
}

// What the hub said last; empty text where it was not asked.
widgets::Notice state_of(const Session& session) {
  const SyncSummary& sync = session.sync;
  widgets::Notice said{.id = "state", .tone = Tone::trouble, .live = true};
  if (sync.link == Link::trying) return said;
  if (sync.link == Link::refused && sync.trouble.empty()) {
    said.text = refused_text(sync.key_refusal);
  } else if (session.fields_tried && sync.trouble == "no_answer") {
    said.tone = Tone::caution;
    said.text = tr("join.unreachable");
  } else if (session.fields_tried && !sync.trouble.empty()) {
    said.text = refusal_text(sync);
  }
  return said;
}

void scan_part(Scene& scene) {
  camera_trouble(scene);
  camera_here(scene);
  if (!scene.session.can_scan) return;
  const bool on = scene.session.exchange.camera.on;
  if (button(scene.ui, {.id = "scan", .label = on ? tr("camera.stop") : tr("join.scan"),
                        .kind = Kind::quiet, .glyph = Glyph::camera})) {
    scene.want(on ? Intent(StopScan{}) : Intent(StartScan{}));
  }
}

// Joined, and nothing has come yet: what that means, and what can be done meanwhile.
void draw_waiting(Scene& scene) {
  const SyncSummary& sync = scene.session.sync;
  open(scene, {.key = "joined", .title = tr("join.title"),
               .actions = {{.id = "again", .label = tr("join.again"),
                            .enabled = sync.link != Link::trying}}});
  notice(scene.ui, {.id = "done", .tone = Tone::good, .text = tr("join.done"), .live = true});
  const bool nothing = sync.link == Link::reached && sync.fetched_all;
  paragraph(scene.ui, tr(sync.link == Link::unreachable ? "join.cut_off"
                         : nothing                      ? "join.nothing"
                                                        : "join.fetching"));
  if (nothing) {
    if (choice_row(scene.ui, {.id = "start", .label = tr("welcome.start"),
                              .detail = tr("join.start_hint"), .glyph = Glyph::tree})) {
      scene.go(ScreenId::start_farm);
    }
    if (choice_row(scene.ui, {.id = "receive", .label = tr("welcome.receive"),
                              .glyph = Glyph::up})) {
      scene.go(ScreenId::receive);
    }
  }
  if (scene.bar.action == "again") scene.want(SyncNow{});
  finish(scene);
}

}  // namespace

void draw_join_farm(Scene& scene) {
  if (scene.session.sync.joined && !scene.season.has_farm()) return draw_waiting(scene);
  open(scene, {.key = "join", .title = tr("join.title"),
               .actions = {{.id = "go", .label = tr("join.go"),
                            .enabled = scene.session.sync.link != Link::trying}}});
  const widgets::Notice said = state_of(scene.session);
  const bool scanning = scene.session.exchange.camera.on;
  if (scanning) scan_part(scene);  // the picture stands where it is seen, the field below it
  if (said.text.empty() && !scanning) paragraph(scene.ui, tr("join.text"));
  const std::string shown = scene.typed("code");
  const std::string code = plain_code(shown);
  std::string error;
  if (scene.session.fields_tried && code.empty()) error = tr("join.code_empty");
  else if (scene.session.fields_tried && !is_code(code)) {
    error = tr("join.code_error", {{"value", shown.substr(0, 24)}});
  }
  if (auto text = text_field(scene.ui, {.id = "code", .label = tr("join.code"), .value = shown,
                                        .error = error})) {
    scene.want(SetField{"code", *text});
  }
  if (scene.session.sync.link == Link::trying) paragraph(scene.ui, tr("join.trying"));
  // Right below the field: on a lying phone nothing further down is in view.
  if (!said.text.empty()) notice(scene.ui, said);
  if (!scanning) scan_part(scene);
  if (scene.bar.action == "go") {
    scene.want(TryFields{});
    if (is_code(code)) scene.want(JoinFarm{code});
  }
  finish(scene);
}

}  // namespace nthtree::screens
