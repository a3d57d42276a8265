// SPDX-License-Identifier: Apache-2.0
// Joining a farm with a code that works once, typed or scanned.
#include <cctype>

#include "screens/camera.h"
#include "screens/each_screen.h"
#include "screens/form.h"
#include "screens/scene.h"

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

void show_state(Scene& scene) {
  const SyncSummary& sync = scene.session.sync;
  if (sync.link == Link::trying) paragraph(scene.ui, tr("join.trying"));
  if (sync.link == Link::unreachable && scene.session.fields_tried) {
    notice(scene.ui, {.id = "state", .tone = Tone::caution, .text = tr("join.unreachable"),
                      .live = true});
  }
  if (sync.link == Link::refused && scene.session.fields_tried) {
    notice(scene.ui, {.id = "state", .tone = Tone::trouble, .text = tr("join.refused"),
                      .live = true});
  }
}

}  // namespace

void draw_join_farm(Scene& scene) {
  open(scene, {.key = "join", .title = tr("join.title"),
               .actions = {{.id = "go", .label = tr("join.go"),
                            .enabled = scene.session.sync.link != Link::trying}}});
  paragraph(scene.ui, tr("join.text"));
  const auto typed = scene.session.fields.find("code");
  const std::string shown = typed == scene.session.fields.end() ? "" : typed->second;
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
  camera_trouble(scene);
  camera_here(scene);
  if (scene.session.can_scan) {
    const bool on = scene.session.exchange.camera.on;
    if (button(scene.ui, {.id = "scan", .label = on ? tr("camera.stop") : tr("join.scan"),
                          .kind = Kind::quiet, .glyph = Glyph::camera})) {
      scene.want(on ? Intent(StopScan{}) : Intent(StartScan{}));
    }
  }
  show_state(scene);
  if (scene.bar.action == "go") {
    scene.want(TryFields{});
    if (is_code(code)) scene.want(JoinFarm{code});
  }
  finish(scene);
}

}  // namespace nthtree::screens
