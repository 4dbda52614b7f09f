package org.holebook.app

import android.webkit.WebResourceResponse
import java.io.ByteArrayInputStream
import java.io.File
import java.io.InputStream
import org.holebook.app.carry.header
import org.holebook.core.Response
import org.holebook.core.ResponseBody

/** The notebook's responses as the WebView takes them. */
object Given {
    private val REASONS = mapOf(
        200 to "OK", 204 to "No Content", 400 to "Bad Request", 403 to "Forbidden", 404 to "Not Found",
        405 to "Method Not Allowed", 410 to "Gone", 422 to "Unprocessable Content", 500 to "Internal Server Error",
    )

    /** [response] for the WebView. A file is read as the WebView reads on, never whole into memory. */
    fun to(response: Response): WebResourceResponse {
        val kind = response.header("content-type").orEmpty()
        val type = kind.substringBefore(';').trim().ifEmpty { "text/plain" }
        val charset = if (type.startsWith("text/")) "utf-8" else null
        val status = response.status.toInt()
        val headers = response.headers.filter { it.name != "content-type" }.associate { it.name to it.value }
        return WebResourceResponse(type, charset, status, REASONS[status] ?: "Answered", headers, stream(response.body))
    }

    /** For what does not lie in the notebook. */
    fun nothing(): WebResourceResponse =
        WebResourceResponse("text/plain", "utf-8", 403, REASONS[403].orEmpty(), emptyMap(), empty())

    private fun stream(body: ResponseBody): InputStream = when (body) {
        is ResponseBody.Text -> ByteArrayInputStream(body.text.toByteArray())
        is ResponseBody.File -> File(body.path).inputStream()
        ResponseBody.Empty -> empty()
    }

    private fun empty() = ByteArrayInputStream(ByteArray(0))
}
