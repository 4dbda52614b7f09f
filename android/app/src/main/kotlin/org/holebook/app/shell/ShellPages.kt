package org.holebook.app.shell

import org.holebook.core.Header
import org.holebook.core.Response
import org.holebook.core.ResponseBody

/** The shell's own responses, for when the screens cannot answer. */
object ShellPages {
    private const val POLICY = "default-src 'none'; style-src 'self'; img-src data:; " +
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

    /** A page with a heading and one sentence. */
    fun message(status: Int, title: String, sentence: String): Response {
        val name = escape(title)
        return html(
            status,
            """
            |<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">
            |<meta name="viewport" content="width=device-width, initial-scale=1">
            |<title>$name · Holebook</title>
            |<link rel="stylesheet" href="/style.css"><link rel="icon" href="data:,"></head>
            |<body><header class="top"><a class="name" href="/">Holebook</a></header>
            |<main id="main"><h1>$name</h1>
            |<p class="problem" role="alert">${escape(sentence)}</p>
            |<p><a class="button" href="/">Castings</a></p></main></body></html>
            """.trimMargin(),
        )
    }

    /** A page that redirects: the WebView follows no redirect that the shell returns. */
    fun redirecting(address: String): Response {
        val target = escape(address)
        return html(
            200,
            """
            |<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>Holebook</title>
            |<meta http-equiv="refresh" content="0;url=$target"></head>
            |<body><main id="main"><p><a href="$target">Continue</a></p></main></body></html>
            """.trimMargin(),
        )
    }

    /** A script. */
    fun script(text: String): Response {
        val headers = listOf(
            Header("content-type", "text/javascript; charset=utf-8"),
            Header("cache-control", "no-store"),
        )
        return Response(200u, headers, ResponseBody.Text(text))
    }

    /** An empty response. */
    fun empty(): Response =
        Response(204u, listOf(Header("cache-control", "no-store")), ResponseBody.Empty)

    /** A redirect after a form was processed. */
    fun seeOther(address: String): Response =
        Response(303u, listOf(Header("location", address)), ResponseBody.Empty)

    /** Escapes text for HTML, also within quotes. */
    fun escape(text: String): String = buildString(text.length) {
        for (char in text) {
            when (char) {
                '&' -> append("&amp;")
                '<' -> append("&lt;")
                '>' -> append("&gt;")
                '"' -> append("&quot;")
                '\'' -> append("&#39;")
                else -> append(char)
            }
        }
    }

    private fun html(status: Int, text: String): Response {
        val headers = listOf(
            Header("content-type", "text/html; charset=utf-8"),
            Header("cache-control", "no-store"),
            Header("content-security-policy", POLICY),
        )
        return Response(status.toUShort(), headers, ResponseBody.Text(text))
    }
}
