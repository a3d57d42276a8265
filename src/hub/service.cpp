// SPDX-License-Identifier: Apache-2.0
#include "hub/service.h"

#include <algorithm>
#include <chrono>
#include <future>

#include "base/clock.h"
#include "base/text.h"
#include "hub/gzip.h"
#include "hub/secret.h"

namespace nthtree::hub {
namespace {

constexpr std::size_t compress_from_bytes = 1400;  // what fits one packet gains nothing

// OWASP ASVS 5.0, 3.4: what a page of this origin may load and where it may be shown.
constexpr const char* content_security_policy =
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; "
    "img-src 'self' blob: data:; style-src 'self'; font-src 'self'; manifest-src 'self'; "
    "worker-src 'self'; media-src 'self' blob:; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; require-trusted-types-for 'script'";

std::string_view path_of(std::string_view target) { return target.substr(0, target.find('?')); }

bool is_api(std::string_view path) { return path.substr(0, 4) == "/v1/"; }

bool is_sync(std::string_view path) {
  return path == sync::path_hello || path == sync::path_push || path == sync::path_pull;
}

bool names(std::string_view list, std::string_view word) {
  return list.find(word) != std::string_view::npos;
}

base::Error refusal_of(CodeUse use) {
  switch (use) {
    case CodeUse::used: return {"code_used", "the code was used already", ""};
    case CodeUse::expired: return {"code_expired", "the code is too old", ""};
    default: return {"code_unknown", "the code is not known here", ""};
  }
}

}  // namespace

Service::Service(ServiceSettings settings, std::shared_ptr<const Site> site, Writer& writer)
    : settings_(std::move(settings)), site_(std::move(site)), writer_(writer) {}

std::string_view secret_of(const HttpRequest& head) {
  constexpr std::string_view bearer = "Bearer ";
  const std::string_view text = head.authorization;
  return text.substr(0, bearer.size()) == bearer ? text.substr(bearer.size()) : std::string_view();
}

double steady_clock_seconds() {
  using namespace std::chrono;
  return duration<double>(steady_clock::now().time_since_epoch()).count();
}

void Service::read_keys(Store& store) {
  keys_.set(store.keys());
  const std::vector<sync::Digest> codes = store.codes(settings_.wall_ms());
  if (store.failure()) return;
  const std::lock_guard lock(codes_mutex_);
  codes_ = {codes.begin(), codes.end()};
}

bool Service::is_code(const sync::Digest& hash) {
  const std::lock_guard lock(codes_mutex_);
  return codes_.count(hash) > 0;
}

base::Status Service::load() {
  std::promise<base::Status> loaded;
  writer_.run(
      [this](Store& store, sync::HubSide&) {
        writer_.on_change([this](Store& changed) {
          read_keys(changed);
          changed.rollback();  // forgets a failure: the next look may find the file free
        });
        read_keys(store);
        remember_quotas(store);
      },
      [&](base::Status status) { loaded.set_value(std::move(status)); });
  return loaded.get_future().get();
}

// A restart gives nobody a new day's quota.
void Service::remember_quotas(Store& store) {
  const std::int64_t now_ms = settings_.wall_ms();
  const double now = settings_.steady_seconds();
  for (const HourOfKey& hour : store.hours_of_keys(now_ms - quota_days * base::day_ms)) {
    const std::int64_t age_ms = std::max<std::int64_t>(0, now_ms - hour.hour_ms - 3600000);
    const double at = now - static_cast<double>(age_ms) / 1000;
    const std::string who = std::to_string(hour.key);
    records_.used(who, at, hour.records + hour.garbage);
    bytes_.used(who, at, hour.bytes);
    garbage_.used(who, at, hour.garbage);
  }
}

// The last hop that the proxy itself has seen.
std::string Service::address_of(const HttpRequest& request) const {
  if (settings_.trusted_proxy.empty() || request.address != settings_.trusted_proxy) {
    return request.address;
  }
  const std::string_view list = request.forwarded_for;
  std::string_view last = list.substr(list.rfind(',') == list.npos ? 0 : list.rfind(',') + 1);
  while (!last.empty() && last.front() == ' ') last.remove_prefix(1);
  return last.empty() ? request.address : std::string(last.substr(0, 64));
}

// Whoever stands at the hub is one of its own people: the first phone is the manager's.
void Service::make_code() {
  const orchard::Role role =
      settings_.code_role.value_or(keys_.has_manager() ? orchard::Role::pruner
                                                       : orchard::Role::manager);
  make_code({role, "", ""}, settings_.code_minutes,
            [this, role](const base::Status& status, const std::string& code) {
              if (status && settings_.show_code) settings_.show_code(code, role);
            });
}

void Service::make_code(const CodeFor& who, std::int64_t minutes, const CodeMade& made) {
  const std::string code = new_join_code();
  writer_.run(
      [this, code, who, minutes](Store& store, sync::HubSide&) {
        store.add_code(sync::sha256(*tidy_join_code(code)), settings_.wall_ms() + minutes * 60000,
                       who);
        read_keys(store);
      },
      [code, made](const base::Status& status) { made(status, code); });
}

HttpReply Service::reply(int status, std::string body) const {
  HttpReply reply{status, {}, std::move(body), {}, false};
  reply.headers = {{"Content-Type", "application/json"},
                   {"Cache-Control", "no-store"},
                   {"X-Content-Type-Options", "nosniff"},
                   {"Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'"},
                   {"Referrer-Policy", "no-referrer"},
                   {"Cross-Origin-Resource-Policy", "same-origin"},
                   {"Accept-Encoding", "gzip"}};  // RFC 7694: what may be sent here
  if (settings_.is_https) {
    reply.headers.emplace_back("Strict-Transport-Security", "max-age=31536000");
  }
  if (status == 429 || status == 503) reply.headers.emplace_back("Retry-After", "5");
  return reply;
}

HttpReply Service::error_reply(int status, const char* id, const char* what) const {
  return reply(status, sync::write_error({id, what, ""}));
}

HttpReply Service::code_refused(CodeUse use) const {
  return reply(403, sync::write_code_refusal(refusal_of(use), settings_.code_minutes));
}

// Says what was tried just now: something was written and is on the disk. Tries of a few seconds
// ago are good enough, or a stranger could keep the disk busy with asking.
void Service::handle_health(const Done& done) {
  const double now = settings_.steady_seconds();
  {
    const std::lock_guard lock(health_mutex_);
    if (health_ && now - health_seconds_ < health_good_seconds) return done(*health_);
    health_seconds_ = now;  // whoever asks meanwhile gets the last answer
  }
  const auto damaged = std::make_shared<std::size_t>(0);
  writer_.run(
      [=, this](Store& store, sync::HubSide&) {
        store.note_health(settings_.wall_ms());
        *damaged = store.damaged().size();
      },
      [=, this](const base::Status& status) {
        const bool is_well = status && *damaged == 0;
        HttpReply said = reply(
            is_well ? 200 : 503,
            base::print("{\"v\":1,\"healthy\":%s,\"written\":%s,\"damaged\":%zu%s}",
                        is_well ? "true" : "false", status ? "true" : "false", *damaged,
                        backup_fields().c_str()));
        {
          const std::lock_guard lock(health_mutex_);
          health_ = said;
        }
        done(std::move(said));
      });
}

bool Service::is_backup_old() const {
  constexpr std::int64_t hour_ms = 3600000;
  return settings_.last_backup_ms &&
         settings_.wall_ms() - settings_.last_backup_ms() > 2 * settings_.backup_hours * hour_ms;
}

std::string Service::backup_fields() const {
  // On a database that several hubs share, copies of it are its own people's matter.
  if (writer_.is_shared()) return ",\"backups\":\"database\"";
  if (!settings_.last_backup_ms) return "";
  return base::print(",\"backup_ms\":%lld,\"backup_old\":%s",
                     static_cast<long long>(settings_.last_backup_ms()),
                     is_backup_old() ? "true" : "false");
}

HttpReply Service::metrics_reply() const {
  const auto seconds = [](std::int64_t ms) { return static_cast<double>(ms) / 1000; };
  std::vector<Gauge> gauges = {
      {"nthtree_records", "Records held.", static_cast<double>(writer_.records())},
      {"nthtree_commits", "Transactions since the start.", static_cast<double>(writer_.commits())},
      {"nthtree_waiting", "Requests that wait for the store.",
       static_cast<double>(writer_.waiting())}};
  if (settings_.last_backup_ms) {
    gauges.push_back({"nthtree_backup_timestamp_seconds",
                      "When the last backup was made; 0: never.",
                      seconds(settings_.last_backup_ms())});
    gauges.push_back({"nthtree_backup_old", "1 where none was made for twice the wanted time.",
                      is_backup_old() ? 1.0 : 0.0});
  }
  HttpReply said = reply(200, metrics_.text(gauges));
  said.headers[0].second = "text/plain; version=0.0.4; charset=utf-8";
  return said;
}

// A page of another site that had its own name pointed here must not be answered as that site.
bool Service::is_own_name(const HttpRequest& head) const {
  if (settings_.hosts.empty()) return true;
  const std::string name = name_in(head.host);
  if (name == "localhost" || name == "127.0.0.1" || name == "[::1]") return true;
  return std::find(settings_.hosts.begin(), settings_.hosts.end(), name) != settings_.hosts.end();
}

std::size_t Service::body_bytes_max(const HttpRequest& head) const {
  const std::string_view path = path_of(head.target);
  return path == sync::path_join ? join_bytes_max
         : is_sync(path)         ? sync::body_bytes_max
         : is_office(path)       ? office_bytes_max
                                 : 0;
}

std::optional<HttpReply> Service::refuse_early(const HttpRequest& head) {
  const std::string_view path = path_of(head.target);
  if (head.door == Door::metrics) {
    const bool is_known = path == "/metrics" && (head.method == "GET" || head.method == "HEAD");
    return is_known ? metrics_reply() : error_reply(404, "no_such_path", "only /metrics is here");
  }
  if (!is_own_name(head)) return error_reply(421, "wrong_host", "this hub has another name");
  if (!is_api(path)) {
    if (head.method != "GET" && head.method != "HEAD") {
      auto refusal = error_reply(405, "wrong_method", "only GET and HEAD are allowed here");
      refusal.headers.emplace_back("Allow", "GET, HEAD");
      return refusal;
    }
    return std::nullopt;
  }
  if (path == "/v1/health" && head.method == "GET") return std::nullopt;
  if (is_page(path)) return refuse_page(head);
  const bool wants_key = is_sync(path) || is_office(path);
  if (path != sync::path_join && !wants_key) {
    return error_reply(404, "no_such_path", "there is nothing here");
  }
  if (head.method != "POST") {
    auto refusal = error_reply(405, "wrong_method", "only POST is allowed here");
    refusal.headers.emplace_back("Allow", "POST");
    return refusal;
  }
  if (auto refusal = refuse_foreign(head)) return refusal;
  if (head.content_type.substr(0, head.content_type.find(';')) != "application/json") {
    return error_reply(415, "wrong_type", "the content type must be application/json");
  }
  if (!head.content_encoding.empty() && head.content_encoding != "gzip") {
    return error_reply(415, "wrong_type", "the content encoding must be gzip or none");
  }
  return wants_key ? refuse_stranger(head) : std::nullopt;
}

// A page of another site may not use this browser's key (OWASP ASVS 5.0, 3.5). A browser that
// gives no referrer may say "null" of our own page; Sec-Fetch-Site, which no page can set, tells.
std::optional<HttpReply> Service::refuse_foreign(const HttpRequest& head) const {
  const std::string_view origin = head.origin;
  const std::size_t host = origin.find("://");
  const bool own_origin =
      origin.empty() || (origin == "null" && head.sec_fetch_site == "same-origin") ||
      (host != std::string_view::npos && origin.substr(host + 3) == std::string_view(head.host));
  const bool own_site = head.sec_fetch_site.empty() || head.sec_fetch_site == "same-origin" ||
                        head.sec_fetch_site == "none";
  if (own_origin && own_site) return std::nullopt;
  return error_reply(403, "foreign_page", "only the app of this hub may ask");
}

// A phone that joined after the backup that a hub was set back to has done nothing wrong, and is
// told so.
HttpReply Service::refuse_key(std::string_view secret) {
  if (secret.empty()) return error_reply(401, "no_key", "this phone has not joined");
  if (writer_.is_shared() && keys_.is_worth_a_look(secret)) {
    writer_.run([this](Store& store, sync::HubSide&) { read_keys(store); },
                [this, text = std::string(secret)](const base::Status&) { keys_.looked(text); });
    return error_reply(503, "busy", "the keys are being read again");
  }
  if (keys_.is_withdrawn(secret)) {
    return error_reply(401, "key_withdrawn", "this phone's key was withdrawn");
  }
  return error_reply(401, "key_unknown",
                     "this hub does not know the phone's key: it may have been set back to a "
                     "backup from before the phone joined; join again, nothing is lost");
}

std::optional<HttpReply> Service::refuse_stranger(const HttpRequest& head) {
  const auto phone = keys_.find(secret_of(head));
  if (!phone) return refuse_key(secret_of(head));
  if (!requests_.take(std::to_string(phone->id), settings_.steady_seconds())) {
    metrics_.slowed_down();
    return error_reply(429, "slow_down", "too many requests of this phone");
  }
  return std::nullopt;
}

void Service::handle(HttpRequest request, const Done& done) {
  const std::string_view path = path_of(request.target);
  if (path == "/v1/health") return handle_health(done);
  if (!is_api(path)) return done(file_reply(request));
  if (is_page(path)) return handle_page(request, done);
  if (request.content_encoding == "gzip") {
    auto plain = gunzip(request.body, body_bytes_max(request));
    if (!plain) return done(error_reply(413, "too_long", "not gzip, or too long"));
    request.body = std::move(*plain);
  }
  if (path == sync::path_join) return handle_join(request, done);
  if (is_office(path)) return handle_office(request, done);
  handle_sync(std::move(request), done);
}

void Service::handle_sync(HttpRequest request, const Done& done) {
  const auto phone = keys_.find(secret_of(request));
  if (!phone) return done(refuse_key(secret_of(request)));
  const std::string path(path_of(request.target));
  auto parsed = sync::read_hub_request(path, std::move(request.body));
  if (!parsed) return done(reply(400, sync::write_error(parsed.error())));
  if (auto refusal = over_quota(*parsed, parsed->text->size(), phone->id)) {
    return done(std::move(*refusal));
  }
  const bool compress = names(request.accept_encoding, "gzip");
  const bool taken = writer_.submit(
      {std::move(*parsed), sender_of(*phone), [=, this](sync::HubReply answer) {
         HttpReply sent = reply(answer.status, std::move(answer.body));
         if (compress && sent.own_body.size() >= compress_from_bytes) {
           sent.own_body = gzip(sent.own_body);
           sent.headers.emplace_back("Content-Encoding", "gzip");
         }
         done(std::move(sent));
       }});
  if (!taken) done(error_reply(503, "busy", "too many requests at once"));
}

// Told, and nothing of the batch taken: the phone keeps it and tries later.
std::optional<HttpReply> Service::over_quota(const sync::HubRequest& request, std::size_t bytes,
                                             std::int64_t key) {
  if (!std::holds_alternative<sync::PushRequest>(request.message)) return std::nullopt;
  const std::string who = std::to_string(key);
  const double now = settings_.steady_seconds();
  const auto garbage = static_cast<double>(
      std::count_if(request.broken.begin(), request.broken.end(),
                    [](const std::string& reason) { return !reason.empty(); }));
  const auto lines = static_cast<double>(request.broken.size());
  const auto size = static_cast<double>(bytes);
  // Nothing is taken of any where one is short: a phone that tries again must not pay for that.
  const bool fits = records_.holds(who, now, lines) && bytes_.holds(who, now, size) &&
                    (garbage == 0 || garbage_.holds(who, now, garbage));
  if (fits) {
    records_.used(who, now, lines);
    bytes_.used(who, now, size);
    if (garbage > 0) garbage_.used(who, now, garbage);
    metrics_.pushed(request.broken.size());
    return std::nullopt;
  }
  metrics_.over_quota();
  return error_reply(429, "quota", "more than one phone may send in a day; it is taken later");
}

void Service::handle_join(const HttpRequest& request, const Done& done) {
  const auto envelope = sync::read_envelope(request.body);
  const auto join = envelope ? sync::read_join_request(*envelope)
                             : base::Result<sync::JoinRequest>(envelope.error());
  if (!join) return done(reply(400, sync::write_error(join.error())));
  const auto code = tidy_join_code(join->code);
  const double now_seconds = settings_.steady_seconds();
  const bool is_right = code && is_code(sync::sha256(*code));
  if (!is_right && (!joins_by_address_.take(address_of(request), now_seconds) ||
                    !joins_.take("", now_seconds))) {
    metrics_.slowed_down();
    return done(error_reply(429, "slow_down", "too many tries; wait a minute"));
  }
  if (!code) return done(code_refused(CodeUse::unknown));

  const std::string secret = random_text();
  const std::string name = join->name.empty() ? std::string("phone") : join->name;
  const auto use = std::make_shared<CodeUse>(CodeUse::unknown);
  const auto role = std::make_shared<orchard::Role>();
  writer_.run(
      [=, this](Store& store, sync::HubSide&) {
        const std::int64_t now_ms = settings_.wall_ms();
        CodeFor who;
        *use = store.use_code(sync::sha256(*code), now_ms, who);
        if (*use != CodeUse::taken) return;
        store.add_key(sync::sha256(secret), name, who, now_ms);
        *role = who.role;
        read_keys(store);
      },
      [=, this](const base::Status& status) {
        if (!status) return done(reply(503, sync::write_error(status.error())));
        if (*use != CodeUse::taken) return done(code_refused(*use));
        done(reply(200, write(sync::JoinReply{secret, *role})));
        make_code();
      });
}

HttpReply Service::file_reply(const HttpRequest& request) const {
  const SiteFile* file = site_->find(request.target);
  HttpReply sent;
  sent.headers = {{"X-Content-Type-Options", "nosniff"},
                  {"Content-Security-Policy", content_security_policy},
                  {"Referrer-Policy", "no-referrer"},
                  {"Cross-Origin-Opener-Policy", "same-origin"},
                  {"Cross-Origin-Resource-Policy", "same-origin"},
                  {"Permissions-Policy", "camera=(self), geolocation=(), microphone=()"}};
  if (settings_.is_https) {
    sent.headers.emplace_back("Strict-Transport-Security", "max-age=31536000");
  }
  if (!file) {
    sent.status = 404;
    sent.headers.emplace_back("Content-Type", "text/plain; charset=utf-8");
    sent.own_body = "There is nothing here.\n";
    return sent;
  }
  // The service worker decides what is current; the browser's own cache only asks and is told.
  sent.headers.emplace_back("Cache-Control", "no-cache");
  sent.headers.emplace_back("ETag", file->tag);
  sent.headers.emplace_back("Vary", "Accept-Encoding");
  if (names(request.if_none_match, file->tag)) {
    sent.status = 304;
    return sent;
  }
  sent.headers.emplace_back("Content-Type", file->content_type);
  const bool brotli = !file->brotli.empty() && names(request.accept_encoding, "br");
  if (brotli) sent.headers.emplace_back("Content-Encoding", "br");
  sent.file_body = brotli ? file->brotli : file->bytes;
  return sent;
}

}  // namespace nthtree::hub
