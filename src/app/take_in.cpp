// SPDX-License-Identifier: Apache-2.0
#include "app/take_in.h"

#include <utility>

#include "app/batch.h"
#include "base/text.h"

namespace nthtree::app {
namespace {

constexpr std::size_t join_code_letters = 10;

// A join code alone or at the end of the address that the office shows; empty where it is neither.
std::string join_code_in(std::string text) {
  if (const std::size_t at = text.rfind('='); at != std::string::npos) text.erase(0, at + 1);
  std::size_t letters = 0;
  for (char c : text) {
    const bool letter = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    if (!letter && c != '-' && c != ' ') return "";
    letters += letter;
  }
  return letters == join_code_letters ? text : "";
}

// The browser's names of errors (W3C, Media Capture and Streams, getUserMedia) in our words.
const char* camera_trouble_of(std::string_view detail) {
  const auto says = [detail](const char* name) { return detail.find(name) != detail.npos; };
  if (says("NotAllowedError") || says("SecurityError")) return "refused";
  if (says("NotFoundError") || says("OverconstrainedError") || says("no camera")) return "none";
  if (says("NotReadableError") || says("AbortError")) return "busy";
  return "failed";
}

}  // namespace

void TakeIn::take(std::string_view lines) {
  if (!context_.loaded || context_.session().demo) return;
  std::string theirs = other_farm(lines, context_.client.store(), context_.season);
  if (theirs.empty()) return take_lines(std::string(lines));
  offered_ = std::string(lines);
  context_.tell(screens::FarmOffered{std::move(theirs)});
}

void TakeIn::take_offered() { take_lines(std::exchange(offered_, {})); }

void TakeIn::take_lines(std::string lines) {
  if (lines.starts_with(base::byte_order_mark)) lines.erase(0, base::byte_order_mark.size());
  const bool nothing = lines.find_first_not_of(" \t\r\n") == std::string::npos;
  context_.tell(screens::Taking{nothing});
  if (!nothing) driver_.import(std::move(lines));
}

void TakeIn::on_file_too_large() { context_.tell(screens::TakeRefused{"too_large"}); }

void TakeIn::start_scan() {
  scanning_ = true;
  context_.platform.start_scan();
}

void TakeIn::follow() {
  if (!scanning_ || context_.session().exchange.camera.on) return;
  scanning_ = false;
  context_.platform.stop_scan();
}

void TakeIn::on_scan(std::string_view bytes, bool chain) {
  const bool joining = context_.session().here().screen == screens::ScreenId::join_farm;
  if (chain && !joining) {
    // Nothing in it: all codes are there, and together they do not check.
    context_.tell(screens::CameraEnded{bytes.empty() ? "damaged" : "", true});
    if (!bytes.empty()) take(bytes);
    return;
  }
  if (!chain && context_.session().here().screen == screens::ScreenId::scan_tag) {
    return context_.tell(screens::TagScanned{std::string(bytes)});
  }
  std::string code = joining && !chain ? join_code_in(std::string(bytes)) : "";
  if (code.empty()) return context_.tell(screens::CameraSaw{"other_code"});
  context_.tell(screens::CodeScanned{std::move(code)});
}

void TakeIn::on_scan_progress(const ScanProgress& progress) {
  context_.tell(screens::CameraRead{progress.have, progress.count, progress.damaged,
                                    progress.missing});
}

void TakeIn::on_scan_stopped(std::string_view detail) {
  scanning_ = false;
  context_.tell(screens::CameraEnded{detail.empty() ? "" : camera_trouble_of(detail), false});
}

}  // namespace nthtree::app
