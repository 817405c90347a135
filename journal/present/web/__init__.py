"""The pages: live capture for the technician, review for the office, and an API for office programs.

``app.build_app`` makes the application; ``serve.run`` runs it.  Needs the extra ``[web]``.
"""
