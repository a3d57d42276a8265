// SPDX-License-Identifier: Apache-2.0
#include "app/app.h"

#include <algorithm>
#include <cstring>

#include "widgets/language.h"
#include "widgets/theme.h"

namespace nthtree::app {
namespace {

constexpr int passes_max = 300;  // a stalled minute of taps; more would be a loop of our own making
constexpr std::int64_t load_again_ms = 3000;

// The region of a BCP 47 tag ("en-US"): the United States alone plant in feet and sell in pounds;
// farms of other regions choose by hand where they do.
bool measures_in_feet(std::string_view language) {
  return language.find("-US") != std::string_view::npos;
}

}  // namespace

App::App(Platform& platform, widgets::Fonts& fonts)
    : platform_(platform), fonts_(fonts), ui_(fonts) {}

void App::start(std::string_view varieties) {
  if (auto read = orchard::read_varieties(varieties)) {
    session_.varieties = std::move(read.value());
  }
  session_.preferences.language = widgets::choose_language(platform_.language());
  session_.us_region = measures_in_feet(platform_.language());
  session_.can_scan = platform_.can_scan();
  session_.exchange.can_share = platform_.can_share();
  session_.now_ms = platform_.wall_ms();
  // A code that came with the address (the office showed it as a QR code).
  std::string code = platform_.start_fragment();
  if (const std::size_t at = code.find('='); at != std::string::npos) code.erase(0, at + 1);
  if (code.size() >= 10) session_.fields["code"] = code.substr(0, 64);
  set_look();
  platform_.store_load();
  platform_.store_ask_status();
}

bool App::lay_out(const SurfaceSize& size, std::int64_t now_ms) {
  const widgets::FrameInput input{size.width, size.height, size.safe.top, size.safe.right,
                                  size.safe.bottom, size.safe.left, now_ms};
  bool again = true;
  for (int pass = 0; again && pass < passes_max; ++pass) {
    session_.now_ms = session_now();
    ui_.begin_frame(input);
    const screens::Intents intents = screens::draw(ui_, season(), session_, reckoning_);
    ui_.end_frame();
    run_all(intents);
    // What was asked for changes the picture; and taps that wait come one control at a time.
    again = !intents.empty() || ui_.has_pending();
  }
  if (session_.toast) {
    platform_.schedule_wake(std::max<std::int64_t>(50, session_.toast->until_ms - session_.now_ms));
  }
  return ui_.animating();
}

std::int64_t App::session_now() const {
  return platform_.wall_ms() + (session_.demo ? demo_.clock_ahead_ms : 0);
}

// --- what the platform says

void App::on_store_records(const std::vector<std::string_view>& records) {
  for (std::string_view bytes : records) {
    if (auto record = client_.load_record(bytes)) {
      loading_.push_back(std::move(*record));
    } else {
      ++set_aside_;
    }
  }
  session_.records_read += static_cast<std::int64_t>(records.size());
  platform_.request_frame();
}

void App::on_store_loaded(const std::vector<MetaChange>& meta,
                          const std::vector<MetaChange>& drafts, int set_aside) {
  if (loaded_) return;
  loaded_ = true;
  season_.apply_all(std::move(loading_));
  loading_ = {};
  set_aside_ += set_aside;
  std::string state;
  bool remembered = false;
  for (const MetaChange& entry : meta) {
    if (entry.key == "sync") state = entry.value;
    if (entry.key == "memory") remembered = screens::read_memory(session_, entry.value);
  }
  if (!remembered) session_.preferences.language = widgets::choose_language(platform_.language());
  for (const MetaChange& draft : drafts) {
    // Keys are "p:" and the person; see draft_key.
    if (draft.key.rfind("p:", 0) != 0) continue;
    screens::restore_drafts(session_, season_, draft.key.substr(2), draft.value);
  }
  client_.load_state(state);
  client_.start(random_key(), moment());
  set_look();
  session_.stack = screens::first_stack(season_, session_);
  // A phone that has joined a farm with nothing in it yet waits where it is told so.
  const bool waits =
      client_.status().joined && session_.here().screen == screens::ScreenId::welcome;
  if (waits || (session_.fields.count("code") && !client_.status().joined)) {
    session_.stack.push_back({screens::ScreenId::join_farm, {}, {}, {}, {}});
  }
  drive_sync();
  follow_screen();
  platform_.request_frame();
}

void App::on_store_load_failed(std::string_view detail) {
  // Never started without its records: a count saved now could be on top of ones not seen.
  session_.last_save.trouble = std::string(detail);
  platform_.schedule_wake(load_again_ms);
  platform_.request_frame();
}

void App::on_store_status(const StoreStatus& status) {
  screens::StorageSummary& storage = session_.storage;
  storage.known = true;
  storage.persisted = status.persisted;
  storage.private_window = status.private_window;
  storage.writer = status.writer;
  storage.installed = status.installed;
  storage.usage_bytes = status.usage_bytes;
  storage.quota_bytes = status.quota_bytes;
  storage.lost = status.lost;
  if (status.brought_back > storage.brought_back) {
    toast("sync.brought_back", std::to_string(status.brought_back));
  }
  storage.brought_back = status.brought_back;
  platform_.request_frame();
}

void App::on_wake() {
  if (!loaded_) {
    if (!session_.last_save.trouble.empty()) {
      session_.last_save.trouble.clear();
      session_.records_read = 0;
      platform_.store_load();  // records that came already change nothing when they come again
    }
    return;
  }
  if (save_again_ms_ >= 0 && platform_.elapsed_ms() >= save_again_ms_) store_next_save();
  if (session_.toast && session_.toast->until_ms <= session_now()) {
    session_.toast.reset();
    platform_.request_frame();
  }
  drive_codes();
  client_.tick(moment());
  drive_sync();
}

void App::on_back() {
  from_browser_back_ = true;
  run_all({screens::Back{}});
  from_browser_back_ = false;
  platform_.request_frame();
}

void App::on_visible(bool visible) {
  if (!visible) {
    write_draft();
    return;
  }
  platform_.store_ask_status();
  if (!loaded_) return;
  client_.network_back(moment());
  drive_sync();
  platform_.request_frame();
}

void App::on_online() {
  if (!loaded_) return;
  client_.network_back(moment());
  drive_sync();
}

void App::on_update_ready(std::string_view version) {
  session_.update_version = version.empty() ? "new" : std::string(version);
  platform_.request_frame();
}

}  // namespace nthtree::app
