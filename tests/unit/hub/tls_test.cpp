// SPDX-License-Identifier: Apache-2.0
//
// The hub speaks TLS itself: with certificates of a small authority of the test's own.
#include <boost/asio/ssl.hpp>
#include <cstdlib>

#include "hub/session.h"
#include "running_hub.h"

namespace nthtree::hub {
namespace {

using test::RunningHub;

void make(const std::string& command) {
  REQUIRE(std::system((command + " >/dev/null 2>&1").c_str()) == 0);
}

// An authority, and certificates for localhost that it signs; the serial number tells them apart.
struct Authority {
  test::TemporaryFolder folder;
  Authority() {
    make("openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -days 2 -subj "
         "/CN=farm-authority -keyout " + folder / "ca.key -out " + folder / "ca.pem");
  }
  std::string file(const std::string& name) const { return folder / name; }
  void sign(int serial) const {
    make("openssl req -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -subj /CN=localhost "
         "-keyout " + file("hub.key") + " -out " + file("hub.csr"));
    make("printf 'subjectAltName=DNS:localhost' > " + file("names") +
         " && openssl x509 -req -days 2 -in " + file("hub.csr") + " -CA " + file("ca.pem") +
         " -CAkey " + file("ca.key") + " -set_serial " + std::to_string(serial) + " -extfile " +
         file("names") + " -out " + file("hub.pem"));
  }
};

struct Heard {
  bool shaken = false;  // hands: the certificate was good
  long serial = 0;
  std::string answer;
};

Heard ask_over_tls(unsigned short port, const std::string& authority, int version_most = 0) {
  Heard heard;
  asio::io_context context;
  asio::ssl::context tls(asio::ssl::context::tls_client);
  tls.load_verify_file(authority);
  tls.set_verify_mode(asio::ssl::verify_peer);
  if (version_most) SSL_CTX_set_max_proto_version(tls.native_handle(), version_most);
  TlsStream stream(context, tls);
  stream.set_verify_callback(asio::ssl::rfc2818_verification("localhost"));
  beast::error_code error;
  beast::get_lowest_layer(stream).connect(
      tcp::endpoint(asio::ip::address_v4::loopback(), port), error);
  if (!error) stream.handshake(asio::ssl::stream_base::client, error);
  heard.shaken = !error;
  if (error) return heard;
  X509* shown = SSL_get1_peer_certificate(stream.native_handle());
  heard.serial = ASN1_INTEGER_get(X509_get0_serialNumber(shown));
  X509_free(shown);
  const std::string request = "GET /v1/health HTTP/1.1\r\nHost: localhost\r\n\r\n";
  asio::write(stream, asio::buffer(request), error);
  char bytes[4096];
  const std::size_t n = stream.read_some(asio::buffer(bytes), error);
  heard.answer.assign(bytes, n);
  return heard;
}

TEST_SUITE("hub") {

TEST_CASE("the hub speaks https, and a new certificate needs no restart") {
  Authority authority;
  authority.sign(11);
  ServerSettings settings;
  settings.tls_certificate = authority.file("hub.pem");
  settings.tls_key = authority.file("hub.key");
  RunningHub hub(settings);
  Heard heard = ask_over_tls(hub.port(), authority.file("ca.pem"));
  CHECK(heard.serial == 11);
  CHECK(heard.answer.find("200") != std::string::npos);

  SUBCASE("the next one is used for connections to come") {
    authority.sign(12);
    REQUIRE(hub.server->load_tls().ok());
    CHECK(ask_over_tls(hub.port(), authority.file("ca.pem")).serial == 12);
  }
  SUBCASE("one that cannot be used leaves the last in place, and is named") {
    make("printf nothing > " + authority.file("hub.pem"));
    const auto loaded = hub.server->load_tls();
    REQUIRE_FALSE(loaded.ok());
    CHECK(loaded.error().where == authority.file("hub.pem"));
    CHECK(ask_over_tls(hub.port(), authority.file("ca.pem")).serial == 11);
  }
  SUBCASE("another authority's phone does not believe it") {
    CHECK_FALSE(ask_over_tls(hub.port(), Authority().file("ca.pem")).shaken);
  }
  SUBCASE("versions that are broken are not spoken (OWASP ASVS 5.0, 12.1.1)") {
    CHECK_FALSE(ask_over_tls(hub.port(), authority.file("ca.pem"), TLS1_1_VERSION).shaken);
    CHECK(ask_over_tls(hub.port(), authority.file("ca.pem"), TLS1_2_VERSION).shaken);
  }
  SUBCASE("what is no TLS is let go, and holds up nobody") {
    test::RawHttp plain(hub.port());
    plain.say("GET / HTTP/1.1\r\nHost: a\r\n\r\n");
    CHECK(plain.closed(5000));
    CHECK(ask_over_tls(hub.port(), authority.file("ca.pem")).shaken);
  }
}

TEST_CASE("a hub with half a certificate does not start") {
  Authority authority;
  authority.sign(1);
  const std::string key = authority.file("ca.key");
  ServerSettings settings;
  settings.tls_certificate = authority.file("hub.pem");
  settings.tls_key = key;
  auto store = open_sqlite_store(authority.file("hub.sqlite"));
  Writer writer(std::move(*store), [] { return test::monday_ms; });
  REQUIRE(writer.start().ok());
  ServiceSettings service_settings;
  service_settings.wall_ms = [] { return test::monday_ms; };
  Service service(service_settings, std::make_shared<Site>(), writer);
  Server server(service, settings);
  const auto listening = server.listen("127.0.0.1", 0);
  REQUIRE_FALSE(listening.ok());
  CHECK(listening.error().id == "tls");
  CHECK(listening.error().where == key);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::hub
