// SPDX-License-Identifier: Apache-2.0
// From phone to phone without a network: a file or a chain of codes goes out, a file or what the
// camera reads comes in. What comes in takes the same way as what a hub sends.
#include <algorithm>
#include <utility>

#include "base/text.h"
#include "app/app.h"
#include "app/parcel.h"

namespace nthtree::app {
namespace {

using screens::Camera;
using screens::Part;
using screens::ScreenId;
using screens::Showing;
using screens::Taken;

constexpr std::size_t codes_bytes_max = 16u * 1024 * 1024;  // as web/exchange.js unpacks at most
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

// ---- out

void App::plan_hand_over() {
  if (session_.demo || !loaded_) return;
  screens::Exchange& exchange = session_.exchange;
  for (Part part : {Part::unsent, Part::today, Part::everything}) {
    exchange.parcels[static_cast<std::size_t>(part)] =
        measure(ids_of(part, client_, season_, platform_.wall_ms()), client_.book());
  }
  const auto records = [&exchange](Part part) {
    return exchange.parcels[static_cast<std::size_t>(part)].records;
  };
  // The least that is likely to be wanted: an evening's records, not the whole season.
  const bool hub = session_.sync.link != screens::Link::never_paired;
  const Part part = hub && records(Part::unsent) > 0 ? Part::unsent : Part::today;
  screens::apply(session_, season_, screens::ChoosePart{part});
  make_codes();
}

void App::make_codes() {
  Showing& showing = session_.exchange.showing;
  const auto ids = ids_of(showing.part, client_, season_, platform_.wall_ms());
  const auto bytes = static_cast<std::size_t>(measure(ids, client_.book()).bytes);
  codes_request_ = next_request();  // an answer to an older request is none
  if (bytes == 0 || bytes > codes_bytes_max) {
    showing.state = bytes == 0 ? Showing::State::none : Showing::State::failed;
    showing.trouble = "too_many";
    return;
  }
  platform_.make_codes(codes_request_, lines_of(ids, client_.book()));
}

void App::hand_over(const screens::HandOver& wish) {
  if (session_.demo) return;
  const auto ids = ids_of(session_.exchange.showing.part, client_, season_, platform_.wall_ms());
  const std::string lines = lines_of(ids, client_.book());
  if (lines.empty()) return toast("toast.nothing_to_share");
  // Plain text by name and type: browsers let a share sheet take few kinds of files, and this is
  // one that all of them do.
  platform_.save_file("nthtree-" + day_name() + ".txt", "text/plain", lines, wish.sheet);
}

std::string App::day_name() const {
  constexpr std::int64_t day_ms = 24LL * 3600 * 1000;
  return base::iso_minute(season_.day_of(platform_.wall_ms()) * day_ms).substr(0, 10);
}

void App::on_file_given(FileGiven how) {
  if (how == FileGiven::saved) toast("toast.file_saved");
  if (how == FileGiven::shared) toast("toast.file_shared");
}

void App::on_codes(RequestId id, int codes, std::string_view detail) {
  if (id != codes_request_) return;
  Showing& showing = session_.exchange.showing;
  showing.codes = codes;
  showing.state = codes > 0 ? Showing::State::ready : Showing::State::failed;
  showing.trouble = detail.find("too many") != detail.npos ? "too_many" : "failed";
  showing.code = showing.round = 1;
  order_codes_from(1);
  follow_codes();
  platform_.request_frame();
}

// The first round runs up from a code, so that people can follow it. Every later one has an order
// of its own: a camera that misses each fourth code would miss the same ones for ever.
void App::order_codes_from(int code) {
  const int codes = session_.exchange.showing.codes;
  code_order_.clear();
  for (int i = 0; i < codes; ++i) code_order_.push_back((code - 1 + i) % codes + 1);
  code_at_ = 0;
}

void App::shuffle_codes() {
  for (std::size_t i = code_order_.size(); i > 1; --i) {
    std::uint64_t chance = 0;
    platform_.random_bytes(&chance, sizeof chance);
    std::swap(code_order_[i - 1], code_order_[chance % i]);
  }
  code_at_ = 0;
}

// The screen was opened, or a code was chosen by hand.
void App::follow_codes() {
  const Showing& showing = session_.exchange.showing;
  if (session_.here().screen != ScreenId::show_codes) {
    code_due_ms_ = -1;
    return;
  }
  if (showing.state != Showing::State::ready || code_due_ms_ >= 0) return;
  code_due_ms_ = platform_.elapsed_ms() + screens::code_ms[static_cast<std::size_t>(showing.pace)];
  platform_.draw_code(showing.code);
}

void App::show_code(int code) {
  order_codes_from(code);
  platform_.draw_code(code);
}

void App::drive_codes() {
  Showing& showing = session_.exchange.showing;
  if (code_due_ms_ < 0 || showing.paused || showing.codes < 2) return;
  if (session_.here().screen != ScreenId::show_codes) return;
  if (const std::int64_t left = code_due_ms_ - platform_.elapsed_ms(); left > 0) {
    return platform_.schedule_wake(left);
  }
  if (++code_at_ >= code_order_.size()) {
    ++showing.round;
    shuffle_codes();
  }
  platform_.draw_code(code_order_[code_at_]);
}

void App::on_code(int code, int modules_a_side, std::string_view modules) {
  Showing& showing = session_.exchange.showing;
  const auto side = static_cast<std::size_t>(std::max(0, modules_a_side));
  if (showing.state != Showing::State::ready) return;
  if (side == 0 || modules.size() != side * side) {
    showing.state = Showing::State::failed;
    showing.trouble = "failed";
    return platform_.request_frame();
  }
  showing.code = code;
  showing.modules_a_side = modules_a_side;
  showing.modules.resize(modules.size());
  for (std::size_t i = 0; i < modules.size(); ++i) showing.modules[i] = modules[i] == '1';
  code_due_ms_ = platform_.elapsed_ms() + screens::code_ms[static_cast<std::size_t>(showing.pace)];
  drive_codes();
  platform_.request_frame();
}

// ---- in

void App::on_file(std::string_view, std::string_view bytes) { take(bytes); }

void App::on_file_too_large(std::string_view) {
  session_.exchange.taken = {};
  session_.exchange.taken.state = Taken::State::refused;
  platform_.request_frame();
}

// What comes in is told on its own screen, wherever the person has gone meanwhile.
void App::open_receive() {
  if (session_.here().screen == ScreenId::receive) return;
  session_.stack.push_back({ScreenId::receive, {}, {}, {}, {}});
  follow_screen();
}

void App::take(std::string_view lines) {
  if (!loaded_ || session_.demo) return;
  open_receive();
  session_.exchange.taken = {};
  platform_.request_frame();
  if (std::string theirs = other_farm(lines, client_.book(), season_); !theirs.empty()) {
    offered_ = std::string(lines);
    session_.exchange.taken.other_farm = std::move(theirs);
    session_.asking = "other_farm";
    follow_screen();
    return;
  }
  take_in(std::string(lines));
}

void App::take_in(std::string lines) {
  if (lines.starts_with(base::byte_order_mark)) lines.erase(0, base::byte_order_mark.size());
  Taken& taken = session_.exchange.taken;
  taken.other_farm.clear();
  const bool blank = lines.find_first_not_of(" \t\r\n") == std::string::npos;
  taken.state = blank ? Taken::State::done : Taken::State::taking;
  if (blank) return;
  client_.import(std::move(lines), moment());
  drive_sync();
}

void App::imported(const sync::Notice::Tally& tally) {
  Taken& taken = session_.exchange.taken;
  taken.fresh += tally.fresh;
  taken.known += tally.known;
  taken.set_aside += tally.set_aside;
  taken.damaged += tally.damaged;
  taken.trouble.clear();
  if (tally.last) taken.state = Taken::State::done;
  if (tally.last && session_.here().screen != ScreenId::receive) {
    toast("toast.imported", std::to_string(taken.fresh));
  }
  // Whoever goes back from here to handing over finds what just came in there, too.
  const bool below =
      std::any_of(session_.stack.begin(), session_.stack.end(),
                  [](const auto& stop) { return stop.screen == ScreenId::hand_over; });
  if (tally.last && tally.fresh > 0 && below) plan_hand_over();
  platform_.request_frame();
}

void App::end_scan() {
  session_.exchange.camera.on = false;
  platform_.stop_scan();
}

void App::on_scan(std::string_view bytes, bool chain) {
  Camera& camera = session_.exchange.camera;
  const bool joining = session_.here().screen == ScreenId::join_farm;
  platform_.request_frame();
  if (chain && !joining) {
    end_scan();
    camera = {};
    if (bytes.empty()) {
      camera.trouble = "damaged";  // all codes are there, and together they do not check
      return;
    }
    return take(bytes);
  }
  const std::string code = joining && !chain ? join_code_in(std::string(bytes)) : "";
  if (code.empty()) {
    camera.trouble = "other_code";  // the camera goes on
    return;
  }
  end_scan();
  camera.trouble.clear();
  session_.fields["code"] = code;
  follow_screen();
}

void App::on_scan_progress(const ScanProgress& progress) {
  Camera& camera = session_.exchange.camera;
  camera.have = progress.have;
  camera.count = progress.count;
  camera.damaged = progress.damaged;
  camera.missing = progress.missing;
  if (progress.have > 0) camera.trouble.clear();
  platform_.request_frame();
}

void App::on_scan_stopped(std::string_view detail) {
  session_.exchange.camera.on = false;
  if (!detail.empty()) session_.exchange.camera.trouble = camera_trouble_of(detail);
  follow_screen();
  platform_.request_frame();
}

}  // namespace nthtree::app
