// SPDX-License-Identifier: Apache-2.0
// Joining a farm with a code that works once, typed or scanned.
#include <cctype>

#include "screens/between_phones/camera.h"
#include "screens/each_screen.h"
#include "screens/parts/form.h"
#include "screens/parts/frame.h"
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

void scan_part(Frame& frame) {
  camera_trouble(frame);
  camera_here(frame);
  if (!frame.session.can_scan) return;
  const bool on = frame.session.exchange.camera.on;
  if (button(frame.ui, {.id = "scan", .label = on ? tr("camera.stop") : tr("join.scan"),
                        .kind = Kind::quiet, .glyph = Glyph::camera})) {
    frame.want(on ? Intent(StopScan{}) : Intent(StartScan{}));
  }
}

// Joined, and nothing has come yet: what that means, and what can be done meanwhile.
void draw_waiting(Frame& frame) {
  const SyncSummary& sync = frame.session.sync;
  open(frame, {.key = "joined", .title = tr("join.title"),
               .actions = {{.id = "again", .label = tr("join.again"),
                            .enabled = sync.link != Link::trying}}});
  notice(frame.ui, {.id = "done", .tone = Tone::good, .text = tr("join.done"), .live = true});
  const bool nothing = sync.link == Link::reached && sync.fetched_all;
  paragraph(frame.ui, tr(sync.link == Link::unreachable ? "join.cut_off"
                         : nothing                      ? "join.nothing"
                                                        : "join.fetching"));
  if (nothing) {
    if (choice_row(frame.ui, {.id = "start", .label = tr("welcome.start"),
                              .detail = tr("join.start_hint"), .glyph = Glyph::tree})) {
      frame.go(ScreenId::start_farm);
    }
    if (choice_row(frame.ui, {.id = "receive", .label = tr("welcome.receive"),
                              .glyph = Glyph::up})) {
      frame.go(ScreenId::receive);
    }
  }
  if (frame.bar.action == "again") frame.want(SyncNow{});
  finish(frame);
}

}  // namespace

void draw_join_farm(Frame& frame) {
  if (frame.session.sync.joined && !frame.season.has_farm()) return draw_waiting(frame);
  open(frame, {.key = "join", .title = tr("join.title"),
               .actions = {{.id = "go", .label = tr("join.go"),
                            .enabled = frame.session.sync.link != Link::trying}}});
  const widgets::Notice said = state_of(frame.session);
  const bool scanning = frame.session.exchange.camera.on;
  if (scanning) scan_part(frame);  // the picture stands where it is seen, the field below it
  if (said.text.empty() && !scanning) paragraph(frame.ui, tr("join.text"));
  const std::string shown = frame.typed("code");
  const std::string code = plain_code(shown);
  std::string error;
  if (frame.session.fields_tried && code.empty()) error = tr("join.code_empty");
  else if (frame.session.fields_tried && !is_code(code)) {
    error = tr("join.code_error", {{"value", shown.substr(0, 24)}});
  }
  if (auto text = text_field(frame.ui, {.id = "code", .label = tr("join.code"), .value = shown,
                                        .error = error})) {
    frame.want(SetField{"code", *text});
  }
  if (frame.session.sync.link == Link::trying) paragraph(frame.ui, tr("join.trying"));
  // Right below the field: on a lying phone nothing further down is in view.
  if (!said.text.empty()) notice(frame.ui, said);
  if (!scanning) scan_part(frame);
  if (frame.bar.action == "go") {
    frame.want(TryFields{});
    if (is_code(code)) frame.want(JoinFarm{code});
  }
  finish(frame);
}

}  // namespace nthtree::screens
