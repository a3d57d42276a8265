// SPDX-License-Identifier: Apache-2.0
//
// The door onto a plain process: a store, a network and a clock in memory, all in the hands of the
// test. Nothing answers by itself: deliver() hands out what is waiting, as a browser's loop would.
//
//   PlatformNative platform;  App app(platform, fonts);  platform.connect(app);
//   app.start("{}");  platform.deliver();
#pragma once

#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/random.h"
#include "app/platform.h"

namespace nthtree::app {

class PlatformNative : public Platform {
 public:
  struct Request {
    RequestId id = 0;
    std::string method, path, bearer, body;
  };
  struct File {
    std::string name, mime, bytes;
    bool share = false;
  };

  explicit PlatformNative(std::uint64_t seed = 1) : random_(seed) {}
  void connect(PlatformEvents& events) { events_ = &events; }
  // Hands out all answers that wait, also those that come meanwhile.
  void deliver();
  void advance(std::int64_t by_ms);  // the clock, and on_wake where one is due

  // --- what the disk holds, and how it behaves
  std::map<std::pair<std::string, std::int64_t>, std::string> records;
  std::map<std::string, std::string> meta, drafts;
  StoreOutcome next_outcome = StoreOutcome::saved;  // of every write until changed
  bool load_fails = false;
  bool load_rests = false;  // half way: see read_rest
  int writes = 0;
  std::map<std::string, std::string> assets;

  // --- what the app did
  std::vector<Request> requests;
  std::vector<File> files;
  std::vector<std::string> said, printed;
  std::vector<std::string> languages_asked;
  int wakes = 0;  // on_wake, which advance() calls
  int frames_asked = 0, history = 0, buzzes = 0, files_asked = 0;
  std::size_t file_part_bytes_most = 0;  // of add_to_file and save_file
  bool has_camera = false, has_share_sheet = false, scanning = false;
  // The chain asked for last: its content in pieces of so many bytes, "codes" that a test hands to
  // another phone's on_scan when it has seen them all.
  // What the phone's own lock says when it is asked; empty: it has none.
  std::optional<bool> phone_lock_opens;
  bool has_web_crypto = true;
  std::size_t bytes_a_code = 480;
  std::vector<std::string> codes;
  std::vector<int> codes_drawn;
  bool awake = false;
  std::int64_t now_ms = 1'770'000'000'000;
  std::int64_t program_made_ms = 0;
  std::string browser_language = "en", fragment;

  std::int64_t wall_ms() const override { return now_ms; }
  std::int64_t elapsed_ms() const override { return now_ms - 1'760'000'000'000; }
  void random_bytes(void* to, std::size_t bytes) override;
  void schedule_wake(std::int64_t delay_ms) override;
  void request_frame() override { ++frames_asked; }
  void store_load() override;
  // Of a load with `load_rests`: what it has not read yet.
  void read_rest();
  void store_append(RequestId id, const std::vector<StoredRecord>& records_to_add,
                    const std::vector<MetaChange>& changes) override;
  void store_change(RequestId id, const std::vector<StoredRecord>& puts,
                    const std::vector<StoredName>& drops,
                    const std::vector<MetaChange>& changes) override;
  void store_put_meta(RequestId id, std::string_view key, std::string_view value) override;
  void store_put_draft(RequestId id, std::string_view key, std::string_view json) override;
  void store_ask_persistence() override {}
  void store_ask_status() override {}
  void http(RequestId id, std::string_view method, std::string_view path, std::string_view bearer,
            std::string_view body, std::int64_t timeout_ms) override;
  void fetch_asset(RequestId id, std::string_view name) override;
  void fetch_language(std::string_view code) override { languages_asked.emplace_back(code); }
  bool open_graphics(const char*) override { return false; }
  void vibrate(int) override { ++buzzes; }
  void keep_awake(bool on) override { awake = on; }
  void announce(std::string_view text, bool) override { said.emplace_back(text); }
  void focus_text(std::string_view) override {}
  void update_mirror(std::string_view) override {}
  void stretch(RequestId id, std::string_view secret, std::string_view salt, int rounds) override;
  void ask_phone_lock(RequestId id, std::string_view credential) override;
  bool has_phone_lock() override { return phone_lock_opens.has_value(); }
  void add_to_file(std::string_view bytes) override;
  void save_file(std::string_view name, std::string_view mime, std::string_view bytes,
                 bool share) override;
  void send_text(std::string_view name, std::string_view text) override;
  bool can_share() override { return has_share_sheet; }
  void pick_file(std::string_view) override { ++files_asked; }
  void print_html(std::string_view html) override { printed.emplace_back(html); }
  bool can_scan() override { return has_camera; }
  void start_scan() override { scanning = true; }
  void stop_scan() override { scanning = false; }
  void make_codes(RequestId id, std::string_view content) override;
  void draw_code(int code) override;
  void push_history() override { ++history; }
  void pop_history(int steps) override { history -= steps; }
  std::int64_t made_ms() override { return program_made_ms; }
  std::string language() override { return browser_language; }
  std::string start_fragment() override { return std::exchange(fragment, ""); }
  Insets safe_area() override { return {}; }
  float pixel_ratio() override { return 1; }
  void apply_update() override {}
  void set_document(std::string_view, std::string_view, bool) override {}

 private:
  void change_named(const std::vector<MetaChange>& changes);
  void write(RequestId id, const std::function<void()>& change);
  void read_half();

  PlatformEvents* events_ = nullptr;
  base::Random random_;
  std::deque<std::function<void()>> waiting_;
  std::int64_t wake_at_ms_ = -1;
  std::size_t records_read_ = 0;  // by a load that rests
  std::string file_begun_;
};

}  // namespace nthtree::app
