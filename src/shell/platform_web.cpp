// SPDX-License-Identifier: Apache-2.0
// The only file that speaks to JavaScript. Three functions go out, one comes in; web/bridge.js is
// the other half. Lists cross as text: fields end with U+001F, entries with U+001E, which JSON
// never holds raw.
#include "shell/platform_web.h"

#include <emscripten.h>

#include <cstdlib>

#include "app/stored_batch.h"
#include "base/text.h"
#include "shell/loop.h"
#include "widgets/language.h"

// Calls Nthtree.bridge[name](id, first, second, number); the bytes are copies the callee may keep.
EM_JS(void, nthtree_call, (const char* name, int id, const char* first, int first_length,
                           const char* second, int second_length, double number), {
  const bytes = (at, length) => HEAPU8.slice(at, at + length);
  globalThis["Nthtree"]["bridge"]["call"](UTF8ToString(name), id, bytes(first, first_length),
                                          bytes(second, second_length), number);
});

// Asks Nthtree.bridge for a text; the caller frees it.
EM_JS(char*, nthtree_ask, (const char* name, const char* about, int about_length), {
  const text = String(globalThis["Nthtree"]["bridge"]["ask"](UTF8ToString(name),
                                                             UTF8ToString(about, about_length)));
  const bytes = new TextEncoder().encode(text + String.fromCharCode(0));
  const at = _malloc(bytes.length);
  HEAPU8.set(bytes, at);
  return at;
});

EM_JS(void, nthtree_random, (void* to, int bytes), {
  const random = new Uint8Array(bytes);
  crypto.getRandomValues(random);
  HEAPU8.set(random, to);
});

EM_JS(double, nthtree_wall, (void), { return Date.now(); });

// SDL's event watch runs inside the browser's own event.
EM_JS(double, nthtree_touched, (void), {
  const event = globalThis["event"];
  return event ? event.timeStamp : performance.now();
});

// For graphics.js; not SDL's own way, which links every function of OpenGL by name. Extensions are
// not asked for: none is used.
EM_JS(int, nthtree_open_graphics, (const char* canvas), {
  GLctx = document.querySelector(UTF8ToString(canvas))
    .getContext("webgl", { "alpha": false, "depth": false, "stencil": false, "antialias": false });
  return GLctx ? 1 : 0;
});

// The four functions of Nthtree.letters (web/letters.js).
EM_JS(double, nthtree_script_width, (const char* text, int length, double px, int bold), {
  return globalThis["Nthtree"]["letters"]["width"](UTF8ToString(text, length), px, bold);
});

EM_JS(void, nthtree_script_begin, (int side), {
  globalThis["Nthtree"]["letters"]["begin"](side);
});

EM_JS(void, nthtree_script_write, (const char* text, int length, double px, int bold, int color,
                                   int x, int y, int w, int h, double baseline), {
  globalThis["Nthtree"]["letters"]["write"](UTF8ToString(text, length), px, bold, color,
                                            [x, y, w, h], baseline);
});

// Into the texture that is bound: TEXTURE_2D, RGBA, UNSIGNED_BYTE.
EM_JS(void, nthtree_script_load, (void), {
  GLctx["texImage2D"](0x0DE1, 0, 0x1908, 0x1908, 0x1401,
                      globalThis["Nthtree"]["letters"]["canvas"]);
});

namespace nthtree::shell {
namespace {

constexpr char field_end = '\x1f', entry_end = '\x1e', group_end = '\x1d';

PlatformWeb* the_platform = nullptr;

void call(const char* name, int id = 0, std::string_view first = {}, std::string_view second = {},
          double number = 0) {
  nthtree_call(name, id, first.data(), static_cast<int>(first.size()), second.data(),
               static_cast<int>(second.size()), number);
}

std::string ask(const char* name, std::string_view about = {}) {
  char* text = nthtree_ask(name, about.data(), static_cast<int>(about.size()));
  std::string copy = text;
  std::free(text);
  return copy;
}

// The next piece up to the mark; text moves behind it.
std::string_view next_piece(std::string_view& text, char mark) {
  const std::size_t at = text.find(mark);
  const std::string_view piece = text.substr(0, at);
  text.remove_prefix(at == std::string_view::npos ? text.size() : at + 1);
  return piece;
}

std::vector<app::MetaChange> read_pairs(std::string_view text) {
  std::vector<app::MetaChange> pairs;
  while (!text.empty()) {
    std::string_view entry = next_piece(text, entry_end);
    const std::string_view key = next_piece(entry, field_end);
    pairs.push_back({std::string(key), std::string(next_piece(entry, field_end))});
  }
  return pairs;
}

std::string write_pairs(const std::vector<app::MetaChange>& pairs) {
  std::string text;
  for (const app::MetaChange& pair : pairs) text += pair.key + field_end + pair.value + entry_end;
  return text;
}

std::string write_records(const std::vector<app::StoredRecord>& records) {
  std::string text;
  for (const app::StoredRecord& record : records) {
    text += record.device + field_end + std::to_string(record.sequence) + field_end +
            record.json + entry_end;
  }
  return text;
}

// Empty: it could not be fetched.
bool take_language(std::string_view code, std::string_view texts) {
  if (texts.empty()) return false;
  auto language = widgets::Language::read(code, texts);
  if (language) widgets::add_language(std::move(language.value()));
  return language.ok();
}

std::int64_t read_integer(std::string_view text) {
  return std::atoll(std::string(text).c_str());
}

}  // namespace

std::string rest_of_texts(std::string_view key) { return ask("restOfTexts", key); }

void PlatformWeb::connect(app::PlatformEvents& events, Loop& loop) {
  events_ = &events;
  loop_ = &loop;
  the_platform = this;
}

void PlatformWeb::receive_store(WebEvent event, int id, double number, std::string_view bytes) {
  switch (event) {
    case WebEvent::store_records: {
      std::vector<std::string_view> records;
      while (!bytes.empty()) records.push_back(next_piece(bytes, entry_end));
      events_->on_store_records(records);
      break;
    }
    case WebEvent::store_named: {
      // Named values, then drafts, told apart by a group separator.
      const std::string_view meta = next_piece(bytes, group_end);
      events_->on_store_named(read_pairs(meta), read_pairs(bytes),
                              static_cast<std::int64_t>(number));
      break;
    }
    case WebEvent::store_loaded: events_->on_store_loaded(static_cast<int>(number)); break;
    case WebEvent::store_load_failed: events_->on_store_load_failed(bytes); break;
    case WebEvent::store_done:
      events_->on_store_done(id, static_cast<app::StoreOutcome>(static_cast<int>(number)), bytes);
      break;
    case WebEvent::store_status: {
      app::StoreStatus status;
      status.persisted = read_integer(next_piece(bytes, field_end)) != 0;
      status.private_window = read_integer(next_piece(bytes, field_end)) != 0;
      status.writer = read_integer(next_piece(bytes, field_end)) != 0;
      status.installed = read_integer(next_piece(bytes, field_end)) != 0;
      status.usage_bytes = read_integer(next_piece(bytes, field_end));
      status.quota_bytes = read_integer(next_piece(bytes, field_end));
      status.lost = read_integer(next_piece(bytes, field_end));
      status.brought_back = read_integer(next_piece(bytes, field_end));
      status.install = next_piece(bytes, field_end);
      status.second_copy = read_integer(next_piece(bytes, field_end)) != 0;
      events_->on_store_status(status);
      break;
    }
    default: break;
  }
}

void PlatformWeb::receive_surface(WebEvent event, int id, double number, std::string_view bytes) {
  switch (event) {
    case WebEvent::activate: loop_->activate(bytes); break;
    case WebEvent::type: {
      const std::string_view control = next_piece(bytes, field_end);
      loop_->type(control, std::string(bytes));
      break;
    }
    case WebEvent::focus: loop_->focus(bytes, id != 0); break;
    case WebEvent::scroll: loop_->scroll(static_cast<float>(number)); break;
    case WebEvent::context: loop_->set_context_lost(id != 0); break;
    case WebEvent::resize: loop_->resize(); break;
    case WebEvent::frame: loop_->frame(); break;
    case WebEvent::cancel: loop_->cancel(); break;
    case WebEvent::typefaces: {  // number: the bytes of the first of the two
      const auto regular = static_cast<std::size_t>(number);
      loop_->take_typefaces(bytes.substr(0, regular), bytes.substr(regular));
      break;
    }
    default: break;
  }
}

void PlatformWeb::receive_exchange(WebEvent event, int id, double number, std::string_view bytes) {
  const int value = static_cast<int>(number);
  switch (event) {
    case WebEvent::scan: events_->on_scan(bytes, id != 0); break;
    case WebEvent::scan_stopped: events_->on_scan_stopped(bytes); break;
    case WebEvent::codes: events_->on_codes(id, value, bytes); break;
    case WebEvent::code: events_->on_code(id, value, bytes); break;
    case WebEvent::file_given: events_->on_file_given(static_cast<app::FileGiven>(value)); break;
    case WebEvent::scan_progress: {
      const auto next = [&] { return static_cast<int>(read_integer(next_piece(bytes, ' '))); };
      app::ScanProgress progress;
      progress.have = next();
      progress.count = next();
      progress.damaged = next();
      while (!bytes.empty()) progress.missing.push_back(next());
      events_->on_scan_progress(progress);
      break;
    }
    default: break;
  }
}

bool PlatformWeb::receive_batch(std::string_view text) {
  return events_ && events_->on_store_batch(text);
}

void PlatformWeb::receive(WebEvent event, int id, double number, std::string_view bytes) {
  if (!events_) return;
  if (event >= WebEvent::activate) return receive_surface(event, id, number, bytes);
  switch (event) {
    case WebEvent::language: {
      const std::string_view code = next_piece(bytes, field_end);
      events_->on_language(code, take_language(code, bytes));
      break;
    }
    case WebEvent::http_done: events_->on_http_done(id, static_cast<int>(number), bytes); break;
    case WebEvent::wake:
      loop_->timer();
      events_->on_wake();
      break;
    case WebEvent::back: events_->on_back(); break;
    case WebEvent::visible:
      loop_->set_hidden(id == 0);
      events_->on_visible(id != 0);
      break;
    case WebEvent::online: events_->on_online(); break;
    case WebEvent::update_ready: events_->on_update_ready(bytes); break;
    case WebEvent::file: {
      const std::string_view name = next_piece(bytes, field_end);
      id != 0 ? events_->on_file_too_large(name) : events_->on_file(name, bytes);
      break;
    }
    case WebEvent::scan:
    case WebEvent::scan_stopped:
    case WebEvent::scan_progress:
    case WebEvent::codes:
    case WebEvent::code:
    case WebEvent::file_given: receive_exchange(event, id, number, bytes); break;
    case WebEvent::lock: events_->on_lock(id, number != 0, bytes); break;
    case WebEvent::pack: call("packed", 0, app::pack_stored_batch(bytes)); break;
    default: receive_store(event, id, number, bytes); break;
  }
}

std::int64_t PlatformWeb::wall_ms() const {
  return static_cast<std::int64_t>(nthtree_wall());
}
std::int64_t PlatformWeb::elapsed_ms() const {
  return static_cast<std::int64_t>(emscripten_get_now());
}
void PlatformWeb::random_bytes(void* to, std::size_t bytes) {
  nthtree_random(to, static_cast<int>(bytes));
}
void PlatformWeb::schedule_wake(std::int64_t delay_ms) {
  call("wake", 0, {}, {}, static_cast<double>(delay_ms));
}
void PlatformWeb::request_frame() { loop_->wake(); }
void PlatformWeb::animation_frame() { call("frame"); }

void PlatformWeb::store_load() { call("storeLoad"); }

void PlatformWeb::store_append(app::RequestId id, const std::vector<app::StoredRecord>& records,
                               const std::vector<app::MetaChange>& meta) {
  call("storeAppend", id, write_records(records), write_pairs(meta));
}

void PlatformWeb::store_change(app::RequestId id, const std::vector<app::StoredRecord>& puts,
                               const std::vector<app::StoredName>& drops,
                               const std::vector<app::MetaChange>& meta) {
  std::string records = write_records(puts) + group_end;
  for (const app::StoredName& drop : drops) {
    records += drop.device + field_end + std::to_string(drop.sequence) + entry_end;
  }
  call("storeChange", id, records, write_pairs(meta));
}

void PlatformWeb::store_put_meta(app::RequestId id, std::string_view key, std::string_view value) {
  call("storePutMeta", id, key, value);
}
void PlatformWeb::store_put_draft(app::RequestId id, std::string_view key, std::string_view json) {
  call("storePutDraft", id, key, json);
}
void PlatformWeb::store_ask_persistence() { call("storeAskPersistence"); }
void PlatformWeb::store_ask_status() { call("storeStatus"); }

void PlatformWeb::http(app::RequestId id, std::string_view method, std::string_view path,
                       std::string_view bearer, std::string_view body, std::int64_t timeout_ms) {
  const std::string head =
      std::string(method) + field_end + std::string(path) + field_end + std::string(bearer);
  call("http", id, head, body, static_cast<double>(timeout_ms));
}

void PlatformWeb::fetch_asset(app::RequestId id, std::string_view name) { call("asset", id, name); }
void PlatformWeb::fetch_language(std::string_view code) { call("language", 0, code); }

bool PlatformWeb::open_graphics(const char* canvas) { return nthtree_open_graphics(canvas) == 1; }

std::int64_t PlatformWeb::touched_ms() const {
  return static_cast<std::int64_t>(nthtree_touched());
}
bool PlatformWeb::wants_stillness() { return ask("stillness") == "true"; }
void PlatformWeb::install() { call("install"); }
void PlatformWeb::vibrate(int duration_ms) { call("vibrate", duration_ms); }
void PlatformWeb::keep_awake(bool on) { call("keepAwake", on); }
void PlatformWeb::announce(std::string_view text, bool assertive) {
  call("announce", assertive, text);
}
void PlatformWeb::focus_text(std::string_view control_id) { call("focusText", 0, control_id); }
void PlatformWeb::update_mirror(std::string_view tree_json) { call("mirror", 0, tree_json); }

void PlatformWeb::add_to_file(std::string_view bytes) { call("addToFile", 0, bytes); }
void PlatformWeb::save_file(std::string_view name, std::string_view mime, std::string_view bytes,
                            bool share) {
  const std::string head = std::string(name) + field_end + std::string(mime);
  call("saveFile", share, head, bytes);
}
void PlatformWeb::send_text(std::string_view name, std::string_view text) {
  call("sendText", 0, name, text);
}
void PlatformWeb::pick_file(std::string_view accept) { call("pickFile", 0, accept); }
void PlatformWeb::stretch(app::RequestId id, std::string_view secret, std::string_view salt,
                          int rounds) {
  call("stretch", id, secret, salt, rounds);
}
void PlatformWeb::ask_phone_lock(app::RequestId id, std::string_view credential) {
  call("phoneLock", id, credential);
}
bool PlatformWeb::has_phone_lock() { return ask("hasPhoneLock") == "true"; }
void PlatformWeb::print_html(std::string_view html) { call("print", 0, html); }
bool PlatformWeb::can_scan() { return ask("canScan") == "true"; }
void PlatformWeb::start_scan() { call("startScan"); }
void PlatformWeb::stop_scan() { call("stopScan"); }
void PlatformWeb::make_codes(app::RequestId id, std::string_view content) {
  call("makeCodes", id, content);
}
void PlatformWeb::draw_code(int code) { call("drawCode", code); }
bool PlatformWeb::can_share() { return ask("canShare") == "true"; }
void PlatformWeb::push_history() { call("pushHistory"); }
void PlatformWeb::pop_history(int steps) { call("popHistory", steps); }
std::string PlatformWeb::time_zone() { return ask("timeZone"); }
std::int64_t PlatformWeb::made_ms() {
  std::int64_t at_ms = 0;
  return base::parse_iso(NTHTREE_MADE_ON, at_ms) ? at_ms : 0;
}
std::string PlatformWeb::language() { return ask("language"); }
std::string PlatformWeb::start_fragment() { return ask("fragment"); }
float PlatformWeb::pixel_ratio() { return static_cast<float>(std::atof(ask("ratio").c_str())); }
void PlatformWeb::apply_update() { call("applyUpdate"); }

app::Insets PlatformWeb::safe_area() {
  std::string text = ask("safeArea");
  std::string_view rest = text;
  const auto next = [&] { return static_cast<float>(read_integer(next_piece(rest, ' '))); };
  app::Insets insets;
  insets.top = next();
  insets.right = next();
  insets.bottom = next();
  insets.left = next();
  return insets;
}

void PlatformWeb::set_document(std::string_view lang, std::string_view title, bool dark) {
  call("setDocument", dark, lang, title);
}

float PlatformWeb::script_width(const widgets::ScriptLine& line) {
  const int length = static_cast<int>(line.text.size());
  return static_cast<float>(nthtree_script_width(line.text.data(), length,
                                                 static_cast<double>(line.px), line.bold));
}
void PlatformWeb::begin_script_picture(int side) { nthtree_script_begin(side); }
void PlatformWeb::write_script(const widgets::ScriptLine& line, unsigned color,
                               const widgets::ScriptPlace& box, float baseline) {
  nthtree_script_write(line.text.data(), static_cast<int>(line.text.size()),
                       static_cast<double>(line.px), line.bold, static_cast<int>(color), box.x,
                       box.y, box.w, box.h, static_cast<double>(baseline));
}
void PlatformWeb::load_script_picture() { nthtree_script_load(); }

}  // namespace nthtree::shell

extern "C" {

// Room for bytes on their way in; nthtree_event and nthtree_batch free it.
EMSCRIPTEN_KEEPALIVE void* nthtree_room(int bytes) {
  return std::malloc(static_cast<std::size_t>(bytes > 0 ? bytes : 1));
}

EMSCRIPTEN_KEEPALIVE void nthtree_event(int event, int id, double number, char* bytes,
                                        int length) {
  using namespace nthtree::shell;
  if (the_platform) {
    the_platform->receive(static_cast<WebEvent>(event), id, number,
                          {bytes, static_cast<std::size_t>(length)});
  }
  std::free(bytes);
}

// 1, or 0 where the batch is damaged.
EMSCRIPTEN_KEEPALIVE int nthtree_batch(char* text, int length) {
  using namespace nthtree::shell;
  const bool taken =
      the_platform && the_platform->receive_batch({text, static_cast<std::size_t>(length)});
  std::free(text);
  return taken ? 1 : 0;
}

}  // extern "C"
