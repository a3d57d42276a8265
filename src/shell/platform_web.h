// SPDX-License-Identifier: Apache-2.0
//
// The door onto the browser. Every call becomes one call of Nthtree.bridge (web/bridge.js) by name;
// every answer comes in through one exported function, nthtree_event; but nthtree_batch, which has
// to say at once whether it could read what it was given.
#pragma once

#include "app/platform.h"
#include "widgets/any_script.h"

namespace nthtree::shell {

class Loop;

// What the bridge sends; the numbers are the ones in web/bridge.js.
enum class WebEvent {
  language = 0,
  store_named = 1, store_records, store_loaded, store_load_failed, store_done, store_status,
  http_done, wake, back, visible, online, update_ready, file, scan, scan_stopped,
  scan_progress, codes, code, file_given, lock, pack,
  activate = 22, type, focus, scroll, context, resize, frame, cancel, typefaces,
};

// The texts that had not come with the app (widgets::RestOfTexts).
std::string rest_of_texts(std::string_view key);

class PlatformWeb : public app::Platform, public widgets::ScriptWriter {
 public:
  void connect(app::PlatformEvents& events, Loop& loop);
  void animation_frame();  // for the loop alone; everybody else calls request_frame
  void receive(WebEvent event, int id, double number, std::string_view bytes);
  // A batch of the store; false where it is damaged and nothing of it was taken.
  bool receive_batch(std::string_view text);

  std::int64_t wall_ms() const override;
  std::int64_t elapsed_ms() const override;
  void random_bytes(void* to, std::size_t bytes) override;
  void schedule_wake(std::int64_t delay_ms) override;
  void request_frame() override;
  void store_load() override;
  void store_append(app::RequestId id, const std::vector<app::StoredRecord>& records,
                    const std::vector<app::MetaChange>& meta) override;
  void store_change(app::RequestId id, const std::vector<app::StoredRecord>& puts,
                    const std::vector<app::StoredName>& drops,
                    const std::vector<app::MetaChange>& meta) override;
  void store_put_meta(app::RequestId id, std::string_view key, std::string_view value) override;
  void store_put_draft(app::RequestId id, std::string_view key, std::string_view json) override;
  void store_ask_persistence() override;
  void store_ask_status() override;
  void http(app::RequestId id, std::string_view method, std::string_view path,
            std::string_view bearer,
            std::string_view body, std::int64_t timeout_ms) override;
  void fetch_asset(app::RequestId id, std::string_view name) override;
  void fetch_language(std::string_view code) override;
  bool open_graphics(const char* canvas) override;
  std::int64_t touched_ms() const override;
  bool wants_stillness() override;
  void install() override;
  void vibrate(int duration_ms) override;
  void keep_awake(bool on) override;
  void announce(std::string_view text, bool assertive) override;
  void focus_text(std::string_view control_id) override;
  void update_mirror(std::string_view tree_json) override;
  void stretch(app::RequestId id, std::string_view secret, std::string_view salt,
               int rounds) override;
  void ask_phone_lock(app::RequestId id, std::string_view credential) override;
  bool has_phone_lock() override;
  void add_to_file(std::string_view bytes) override;
  void save_file(std::string_view name, std::string_view mime, std::string_view bytes,
                 bool share) override;
  void send_text(std::string_view name, std::string_view text) override;
  bool can_share() override;
  void pick_file(std::string_view accept) override;
  void print_html(std::string_view html) override;
  bool can_scan() override;
  void start_scan() override;
  void stop_scan() override;
  void make_codes(app::RequestId id, std::string_view content) override;
  void draw_code(int code) override;
  void push_history() override;
  void pop_history(int steps) override;
  std::string time_zone() override;
  std::int64_t made_ms() override;
  std::string language() override;
  std::string start_fragment() override;
  app::Insets safe_area() override;
  float pixel_ratio() override;
  void apply_update() override;
  void set_document(std::string_view lang, std::string_view title, bool dark) override;

  float script_width(const widgets::ScriptLine& line) override;
  void begin_script_picture(int side) override;
  void write_script(const widgets::ScriptLine& line, unsigned color,
                    const widgets::ScriptPlace& box, float baseline) override;
  void load_script_picture() override;

 private:
  void receive_store(WebEvent event, int id, double number, std::string_view bytes);
  void receive_exchange(WebEvent event, int id, double number, std::string_view bytes);
  void receive_surface(WebEvent event, int id, double number, std::string_view bytes);

  app::PlatformEvents* events_ = nullptr;
  Loop* loop_ = nullptr;
};

}  // namespace nthtree::shell
