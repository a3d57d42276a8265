// SPDX-License-Identifier: Apache-2.0
//
// The seam between the app and whatever carries it: a browser (platform_web.cpp) or a plain
// process without a window (platform_native.cpp, for tests and tools).
//
// It is not an event loop and holds no state of the app. Every call returns at once; what takes
// time answers later through PlatformEvents, always from the main thread and never from inside
// the call that asked. Request ids are chosen by the caller, 1 … 2^31 - 1, never reused in a run.
//
// Invariants:
//   - "Saved" may be said only after on_store_done(id, StoreOutcome::saved): that one strict
//     transaction is then on the disk of this phone.
//   - An append is all or nothing: its records and its meta changes stand or fall together.
//   - Views given to events are valid during the call only.
// Units: milliseconds, bytes, CSS pixels (1/96 inch) unless a name says otherwise.
//
//   platform.store_append(id, records, {{"cursor", "e1:41"}});
//   … later: events.on_store_done(id, StoreOutcome::saved, "");
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/clock.h"

namespace nthtree::app {

using RequestId = std::int32_t;

// One ledger record on its way to the disk. The wire form has no raw tab or newline in it.
struct StoredRecord {
  std::string device;         // device key, no tab or newline
  std::int64_t sequence = 0;  // 1, 2, 3 … without gaps for each device; below 2^53
  std::string json;           // wire form, kept byte for byte
};

struct StoredName {
  std::string device;
  std::int64_t sequence = 0;
};

// A named value beside the records (cursor, settings, this device's key). Empty value: removed.
struct MetaChange {
  std::string key;
  std::string value;
};

enum class StoreOutcome {
  saved = 0,      // on disk
  full = 1,       // the phone has no room (quota); nothing of this request was kept
  read_only = 2,  // another tab of this app holds the writer's lock
  closed = 3,     // the database went away; the store reopens it by itself, ask again
  failed = 4,     // anything else; detail says what
};

struct StoreStatus {
  bool persisted = false;       // the browser promised not to evict
  bool private_window = false;  // storage lives in memory only: refuse to count
  bool writer = true;           // false: another tab writes, this one only looks
  bool installed = false;       // runs from the home screen
  std::int64_t usage_bytes = -1;  // -1: unknown
  std::int64_t quota_bytes = -1;
  std::int64_t lost = 0;          // records that were here once and that the browser threw away
  std::int64_t brought_back = 0;  // of those, what its second copy gave back at this start
  // How the app gets to the home screen: "offer" (install() asks the person), "share" (the share
  // sheet of an iPhone), "menu" (of the browser), or "" (not at all, or it is there).
  std::string install;
  bool second_copy = true;  // the browser has a place for a copy beside the database
};

struct Insets {
  float top = 0, right = 0, bottom = 0, left = 0;
};

enum class FileGiven { saved = 0, shared = 1, cancelled = 2, copied = 3 };

// How far the camera has read a chain of codes.
struct ScanProgress {
  int have = 0, count = 0;   // 0 of 0: nothing read yet
  int damaged = 0;           // codes that did not check, since the camera was started
  std::vector<int> missing;  // the first of them
};

// What the platform tells the app. The app implements this; see app.h.
class PlatformEvents {
 public:
  virtual ~PlatformEvents() = default;

  // A load begins, with the named values and the drafts. After one that failed it begins anew.
  // `records`: so many are to come, as far as the store knows without a look; 0: unknown.
  virtual void on_store_named(const std::vector<MetaChange>& meta,
                              const std::vector<MetaChange>& drafts, std::int64_t records) = 0;
  // Records of the load, many at a time, each a wire-form JSON text without its newline,
  // in (device, sequence) order.
  virtual void on_store_records(const std::vector<std::string_view>& records) = 0;
  // Many of one device, as stored_batch.h has them. False, and nothing is taken, where the text is
  // damaged or they do not follow what has come of that device.
  virtual bool on_store_batch(std::string_view text) = 0;
  // All records were delivered. set_aside: records that could not be read and were kept apart.
  virtual void on_store_loaded(int set_aside) = 0;
  // The load itself failed: nothing may be written until a later load succeeds.
  virtual void on_store_load_failed(std::string_view detail) = 0;
  virtual void on_store_done(RequestId id, StoreOutcome outcome, std::string_view detail) = 0;
  virtual void on_store_status(const StoreStatus& status) = 0;

  // status: HTTP status, or 0 when no answer came (no network, time-out, broken connection).
  virtual void on_http_done(RequestId id, int status, std::string_view body) = 0;

  // The texts of a language have come and are the widgets' now, or they could not be fetched.
  // Comes unasked too, soon after the start.
  virtual void on_language(std::string_view code, bool has_come) = 0;

  virtual void on_wake() = 0;              // schedule_wake is due
  virtual void on_back() = 0;              // back button or swipe; the app goes one screen back
  virtual void on_visible(bool visible) = 0;  // hidden: flush drafts now, there may be no later
  virtual void on_online() = 0;            // the network may be back: a hint to try, no promise
  virtual void on_update_ready(std::string_view version) = 0;  // a whole new version waits
  virtual void on_file(std::string_view name, std::string_view bytes) = 0;  // after pick_file
  virtual void on_file_too_large(std::string_view name) = 0;  // picked, and not read
  virtual void on_file_given(FileGiven how) = 0;     // after save_file, send_text
  // A whole chain was read (its content), or a single code (its text); may come many times.
  virtual void on_scan(std::string_view bytes, bool chain) = 0;
  virtual void on_scan_progress(const ScanProgress& progress) = 0;
  virtual void on_scan_stopped(std::string_view detail) = 0;  // no camera, refused, or stopped
  // codes: how many make up the content; 0: it could not be done, detail says why.
  virtual void on_codes(RequestId id, int codes, std::string_view detail) = 0;
  // The stretched PIN, or the phone's own lock (its credential); not ok: text says why.
  virtual void on_lock(RequestId id, bool ok, std::string_view text) = 0;
  // modules: '1' dark, '0' light, row by row.
  virtual void on_code(int code, int modules_a_side, std::string_view modules) = 0;
};

class Platform : public base::Clock {
 public:
  // --- time and chance (wall_ms and elapsed_ms come from base::Clock)
  virtual void random_bytes(void* to, std::size_t bytes) = 0;  // cryptographic quality
  // Asks for on_wake after delay_ms; the earliest asked for wins. Draws a frame too.
  virtual void schedule_wake(std::int64_t delay_ms) = 0;
  virtual void request_frame() = 0;  // something changed: draw soon

  // --- the record store (web/record_store.js)
  virtual void store_load() = 0;
  virtual void store_append(RequestId id, const std::vector<StoredRecord>& records,
                            const std::vector<MetaChange>& meta) = 0;
  // What a merge decided: put or replace, and drop, one transaction with the meta changes.
  virtual void store_change(RequestId id, const std::vector<StoredRecord>& puts,
                            const std::vector<StoredName>& drops,
                            const std::vector<MetaChange>& meta) = 0;
  virtual void store_put_meta(RequestId id, std::string_view key, std::string_view value) = 0;
  // A draft is an interrupted count: overwritten at each change, removed by an empty json.
  virtual void store_put_draft(RequestId id, std::string_view key, std::string_view json) = 0;
  virtual void store_ask_persistence() = 0;  // inside a tap only; answers by on_store_status
  virtual void store_ask_status() = 0;

  // --- the hub (web/transport.js). path: from the origin's root ("/v1/push"). bearer: may be
  // empty. The body is JSON; the transport compresses it where that pays.
  virtual void http(RequestId id, std::string_view method, std::string_view path,
                    std::string_view bearer, std::string_view body, std::int64_t timeout_ms) = 0;

  // A file of the bundle by its plain name ("demo.jsonl"); answers by on_http_done.
  virtual void fetch_asset(RequestId id, std::string_view name) = 0;
  // The texts of a language that is only expected; answers by on_language.
  virtual void fetch_language(std::string_view code) = 0;

  // --- hands, eyes and ears
  // When the touch that is being told of happened, in elapsed time: a busy browser tells of a whole
  // drag at once, and how fast the finger went must not depend on that.
  virtual std::int64_t touched_ms() const { return elapsed_ms(); }
  // Makes the graphics the renderer draws with, on that canvas; false where there are none.
  virtual bool open_graphics(const char* canvas) = 0;
  virtual bool wants_stillness() { return false; }  // the person asked for less motion
  virtual void install() {}                         // inside a tap only, where the status offers it
  virtual void vibrate(int duration_ms) = 0;
  virtual void keep_awake(bool on) = 0;  // screen wake lock; re-taken when visible again
  virtual void announce(std::string_view text, bool assertive) = 0;  // live region
  // The real <input> of the text field with this control id takes the focus and the phone's
  // keyboard opens. Works inside a tap only, so the event watch calls it.
  virtual void focus_text(std::string_view control_id) = 0;
  virtual void update_mirror(std::string_view tree_json) = 0;  // see widgets/mirror.h

  // --- locks (web/lock.js); both answer by on_lock
  // PBKDF2-HMAC-SHA-256 of the secret, 32 bytes; salt and answer in hexadecimal digits.
  virtual void stretch(RequestId id, std::string_view secret, std::string_view salt,
                       int rounds) = 0;
  // Asks for finger, face or pattern. Empty: makes a credential to be asked for from then on.
  virtual void ask_phone_lock(RequestId id, std::string_view credential) = 0;
  virtual bool has_phone_lock() { return false; }

  // --- files and paper
  // The next part of the file that save_file ends: the platform keeps it, outside the app's memory.
  virtual void add_to_file(std::string_view bytes) = 0;
  // Saves to the downloads, or opens the share sheet where share is true and there is one.
  virtual void save_file(std::string_view name, std::string_view mime, std::string_view bytes,
                         bool share) = 0;
  // A text for a messenger: by the share sheet, or else copied, or else saved as a file of that
  // name. Inside a tap only.
  virtual void send_text(std::string_view name, std::string_view text) = 0;
  virtual bool can_share() = 0;                         // has a share sheet that takes texts; slow
  virtual void pick_file(std::string_view accept) = 0;  // answers by on_file; inside a tap only
  virtual void print_html(std::string_view html) = 0;   // body of a page; no scripts run in it
  virtual bool can_scan() = 0;
  virtual void start_scan() = 0;  // camera, answers by on_scan until stop_scan
  virtual void stop_scan() = 0;
  // The content as a chain of codes (web/codes.js), in place of the one before: on_codes. Then one
  // of them, 1 …: on_code.
  virtual void make_codes(RequestId id, std::string_view content) = 0;
  virtual void draw_code(int code) = 0;

  // --- place in the browser
  virtual void push_history() = 0;  // a screen deeper: one more back press stays in the app
  virtual void pop_history(int steps) = 0;  // the app went back by its own button
  virtual std::string time_zone() { return ""; }  // its rule (base/time_zone.h); empty: unknown
  virtual std::int64_t made_ms() { return 0; }  // this program, to the day; 0: unknown
  virtual std::string language() = 0;  // BCP 47 of the browser, "es-MX"
  virtual std::string start_fragment() = 0;  // what stood behind # at the start (pairing), once
  virtual Insets safe_area() = 0;      // CSS px
  virtual float pixel_ratio() = 0;     // device px a CSS px, capped at 2 (measured enough)
  virtual void apply_update() = 0;     // take the waiting version and start again
  virtual void set_document(std::string_view lang, std::string_view title, bool dark) = 0;
};

}  // namespace nthtree::app
